export default function ({ data, setStateValue }) {
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const narrow = window.matchMedia("(max-width: 640px)");
  const turned = () => setTimeout(() => setStateValue("dark", dark.matches), 100);
  const told = () => setStateValue("narrow", narrow.matches);
  dark.addEventListener("change", turned);
  narrow.addEventListener("change", told);
  if (narrow.matches !== data) told();
  return () => {
    dark.removeEventListener("change", turned);
    narrow.removeEventListener("change", told);
  };
}
