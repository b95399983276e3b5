export default function ({ data, parentElement, setStateValue }) {
  const input = parentElement.querySelector("input");
  parentElement.querySelector("span").textContent = data.label;
  input.setAttribute("aria-label", data.said);
  // Drawn again under other words, as when the row above goes, it keeps what was
  // typed, and what has not been told yet is still told.
  if (!input.dataset.drawn) input.value = data.text;
  input.dataset.drawn = "yes";
  const tell = () => {
    clearTimeout(input.waiting);
    if (input.isConnected) setStateValue("text", input.value);
  };
  input.oninput = () => {
    clearTimeout(input.waiting);
    input.waiting = setTimeout(tell, 150);
  };
  input.onchange = tell;  // left for a button: told before that is pressed
}
