const NEXT = { "": "even", even: "bright", bright: "dim", dim: "out",
  out: "failed", failed: "" };
const SAID = { "": "not looked at", failed: "failed when tried" };
const rays = [...Array(8)].map((_, i) => {
  const a = i * Math.PI / 4, c = Math.cos(a), s = Math.sin(a);
  return `<line class="ray ${i % 2 ? "far" : ""}" x1="${24 + 15 * c}"
    y1="${24 + 15 * s}" x2="${24 + 21 * c}" y2="${24 + 21 * s}"/>`;
}).join("");
export default function ({ data, parentElement, setStateValue }) {
  const root = parentElement.querySelector(".row");
  const seen = { ...data };
  root.replaceChildren(...Object.keys(data).map((name) => {
    const button = document.createElement("button");
    button.type = "button";
    const draw = () => {
      const state = seen[name];
      button.innerHTML = `<svg viewBox="0 0 48 48" class="${state || "blank"}"
        aria-hidden="true">${rays}<circle class="glass" cx="24" cy="24" r="12"/>
        <path class="coil" d="M18 27 l3 -6 3 6 3 -6 3 6"/></svg><b></b>
        <small></small>`;
      button.querySelector("b").textContent = `Lamp ${name}`;
      button.querySelector("small").textContent = SAID[state] ?? state;
    };
    draw();
    button.onclick = () => {
      seen[name] = NEXT[seen[name]];
      draw();
      setStateValue("seen", { ...seen });
    };
    return button;
  }));
}
