export default function ({ data, parentElement }) {
  const drawn = () => {  // the layers of the figure as it stands, one upon another
    const plot = document.querySelector(`.st-key-${data.place} .js-plotly-plot`);
    const layers = [...plot.querySelectorAll("svg.main-svg")];
    const whole = layers[0].cloneNode(false);
    const { width, height } = layers[0].getBoundingClientRect();
    whole.setAttribute("viewBox", `0 0 ${width} ${height}`);
    whole.style.background = getComputedStyle(plot).getPropertyValue("--card");
    for (const layer of layers) whole.append(...layer.cloneNode(true).childNodes);
    const text = new XMLSerializer().serializeToString(whole);
    return [new Blob([text], { type: "image/svg+xml" }), width, height];
  };
  const keep = (blob, ending) => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(blob);
    link.download = `${data.place}.${ending}`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  };
  const [svg, png] = parentElement.querySelectorAll("button");
  svg.onclick = () => keep(drawn()[0], "svg");
  png.onclick = async () => {
    const [blob, width, height] = drawn();
    const image = new Image();
    image.src = URL.createObjectURL(blob);
    await image.decode();
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [2 * width, 2 * height];
    const pen = canvas.getContext("2d");
    pen.fillStyle = getComputedStyle(document.body).backgroundColor;
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.drawImage(image, 0, 0, canvas.width, canvas.height);
    canvas.toBlob((made) => keep(made, "png"));
  };
}
