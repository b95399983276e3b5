// Text whose contrast with what lies behind it is below 4.5 to 1 (3 to 1 where it is
// large), and controls without a name. Relative luminance as WCAG 2 defines it.
() => {
  // A page has few colours and grounds, and many words on them: each is drawn once.
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = 1;
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  const once = (known, key, make) => {
    if (!known.has(key)) known.set(key, make());
    return known.get(key);
  };
  const colours = new Map();
  const colour = (text) =>
    once(colours, text, () => {
      pen.clearRect(0, 0, 1, 1);
      pen.fillStyle = text;
      pen.fillRect(0, 0, 1, 1);
      const [r, g, b, a] = pen.getImageData(0, 0, 1, 1).data;
      return [r, g, b, a / 255];
    });
  const over = (top, under) =>
    [0, 1, 2].map((k) => top[k] * top[3] + under[k] * (1 - top[3])).concat(1);
  const luminance = (c) => {
    const [r, g, b] = c.slice(0, 3).map((v) => {
      const s = v / 255;
      return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const grounds = new Map();
  const ground = (e) =>
    once(grounds, e, () =>
      e ? over(colour(getComputedStyle(e).backgroundColor), ground(e.parentElement))
        : [255, 255, 255, 1]);
  const shades = new Map();
  const shade = (e) =>
    once(shades, e, () =>
      e ? shade(e.parentElement) * +getComputedStyle(e).opacity : 1);
  const seen = (e) => e.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const faint = [];
  let lookedAt = 0;
  for (const e of document.querySelectorAll("[data-testid=stApp] *")) {
    const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    if (!own || !seen(e) || e.closest("canvas, style, script, .annotation, [disabled]")) continue;
    // Words on a drawn bar stand on the bar: a test of the palette judges those.
    if (e.closest(".bartext")) continue;
    // So do those that stand beside the points of their own trace: berths' names.
    if (e.closest(".trace")?.querySelector(".points path")) continue;
    // What floats above a slider's knob does not stand on the knob's colour.
    if (e.closest(".katex-mathml, [aria-disabled=true], [data-testid=stSliderThumbValue]")) continue;
    const style = getComputedStyle(e);
    const drawn = e instanceof SVGElement;
    const ink = colour(drawn ? style.fill : style.color);
    if (ink[3] === 0) continue;
    const back = ground(drawn ? e.closest("svg").parentElement : e);
    const text = over([ink[0], ink[1], ink[2], ink[3] * shade(e)], back);
    const [low, high] = [luminance(text), luminance(back)].sort((a, b) => a - b);
    const ratio = (high + 0.05) / (low + 0.05);
    const size = parseFloat(style.fontSize);
    const large = size >= 24 || (size >= 18.66 && +style.fontWeight >= 700);
    lookedAt += 1;
    if (ratio < (large ? 3 : 4.5)) {
      faint.push(`${e.textContent.trim().slice(0, 40)}: ${ratio.toFixed(2)}`);
    }
  }
  const nameless = [];
  for (const e of document.querySelectorAll("button, input, select, textarea, a[href], [role=combobox]")) {
    if (!seen(e) || e.type === "hidden" || e.tabIndex < 0) continue;
    const labelled = (e.getAttribute("aria-labelledby") || "")
      .split(" ")
      .map((id) => document.getElementById(id)?.textContent || "")
      .join("");
    const name = [e.getAttribute("aria-label"), labelled, e.title, e.innerText, e.textContent]
      .concat([...(e.labels || [])].map((label) => label.textContent));
    if (!name.some((words) => words && words.trim())) nameless.push(e.outerHTML.slice(0, 160));
  }
  return {
    faint: [...new Set(faint)],
    nameless,
    looked_at: lookedAt,
    ground: luminance(ground(document.querySelector("h1"))),
  };
}
