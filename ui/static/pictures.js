// Pictures of the artwork whose pieces can be pointed at: a touch tells which piece it was.
export default function ({ data, parentElement, setTriggerValue }) {
  const row = parentElement.querySelector(".pictures")
  if (row.shown !== data.key) {
    row.innerHTML = data.panels
      .map(({ svg, words }) => `<figure>${svg}<figcaption>${words}</figcaption></figure>`)
      .join("")
    row.shown = data.key
  }
  for (const mark of row.querySelectorAll("[data-piece]")) {
    mark.classList.toggle("chosen", data.chosen.includes(mark.dataset.piece))
  }
  row.onclick = (touch) => {
    const mark = touch.target.closest("[data-piece]")
    if (mark) setTriggerValue("piece", mark.dataset.piece)
  }
}
