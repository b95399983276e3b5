export default function ({ data, parentElement }) {
  const button = parentElement.querySelector("button");
  button.textContent = data.label;
  button.onclick = async () => {
    try {
      await navigator.clipboard.writeText(data.text);
    } catch {  // no permission, or no secure address
      const field = document.createElement("textarea");
      field.value = data.text;
      parentElement.append(field);
      field.select();
      document.execCommand("copy");
      field.remove();
    }
    button.textContent = "Copied";
    setTimeout(() => { button.textContent = data.label; }, 2000);
  };
}
