export default function ({ data, parentElement }) {
  const button = parentElement.querySelector("button");
  button.textContent = data;
  button.onclick = () => window.print();
}
