export default function ({ data, parentElement, setStateValue }) {
  const root = parentElement.querySelector(".grid");
  const chosen = new Set(data.chosen);
  const cell = (tag, text, into, name) => {
    const made = document.createElement(tag);
    made.textContent = text;
    if (name) made.className = name;
    into.append(made);
    return made;
  };
  root.replaceChildren(...data.cards.map((card) => {
    const button = document.createElement("button");
    button.type = "button";
    button.setAttribute("role", "checkbox");
    button.setAttribute("aria-checked", chosen.has(card.id));
    cell("span", "", button, "box").setAttribute("aria-hidden", "true");
    const words = cell("span", "", button, "t");
    cell("b", card.title, words);
    cell("small", card.words, words);
    const figures = cell("span", card.chance, button, "n");
    cell("small", card.takes, figures);
    button.onclick = () => {
      chosen.has(card.id) ? chosen.delete(card.id) : chosen.add(card.id);
      button.setAttribute("aria-checked", chosen.has(card.id));
      setStateValue("chosen", [...chosen]);
    };
    return button;
  }));
}
