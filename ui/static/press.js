// The screen at the press: one step at a time, its countdown, and one large place to touch.
// Words arrive as data and are only ever set as text; drawings arrive as images.
const TICK_MS = 100
const LAST_SECONDS = 3

export default function ({ data, parentElement }) {
  const at = (name) => parentElement.querySelector(`[data-at="${name}"]`)
  const cards = data.cards
  const place = `presslore-press-${data.key}`
  let sound = null
  let ticking = null
  let announced = -1
  let kept = read()

  function read() {
    const fresh = { card: 0, garment: 1, ends: null }
    try {
      const found = JSON.parse(localStorage.getItem(place))
      const card = Number(found.card), garment = Number(found.garment)
      const fits = card >= 0 && card < cards.length && garment >= 1 && garment <= data.garments
      return fits ? { card, garment, ends: Number(found.ends) || null } : fresh
    } catch {
      return fresh
    }
  }

  function keep(change) {
    kept = { ...kept, ...change }
    try {
      localStorage.setItem(place, JSON.stringify(kept))
    } catch {
      // A browser that keeps nothing still shows every step.
    }
    show()
  }

  function say(frequency, seconds) {
    if (!sound || sound.state !== "running") return
    const tone = sound.createOscillator(), loudness = sound.createGain()
    tone.frequency.value = frequency
    tone.connect(loudness).connect(sound.destination)
    loudness.gain.setValueAtTime(0.0001, sound.currentTime)
    loudness.gain.exponentialRampToValueAtTime(0.5, sound.currentTime + 0.02)
    loudness.gain.exponentialRampToValueAtTime(0.0001, sound.currentTime + seconds)
    tone.start()
    tone.stop(sound.currentTime + seconds)
  }

  function wake() {
    // A browser lets sound out only after a touch or a key.
    sound = sound || new AudioContext()
    if (sound.state !== "running") sound.resume()
    if (navigator.wakeLock && document.visibilityState === "visible") {
      navigator.wakeLock.request("screen").catch(() => {})
    }
  }

  const isLast = () => kept.card === cards.length - 1
  const isDone = () => isLast() && kept.garment === data.garments
  const left = () => (kept.ends === null ? null : Math.ceil((kept.ends - Date.now()) / 1000))
  const runs = () => kept.ends !== null && left() > 0
  const waits = () => cards[kept.card].seconds > 0 && kept.ends === null

  function next() {
    wake()
    if (runs()) return
    if (waits()) {
      announced = -1
      say(660, 0.12)
      keep({ ends: Date.now() + cards[kept.card].seconds * 1000 })
    } else if (!isLast()) {
      keep({ card: kept.card + 1, ends: null })
    } else if (!isDone()) {
      keep({ card: data.again, garment: kept.garment + 1, ends: null })
    }
  }

  function back() {
    wake()
    if (kept.ends !== null) keep({ ends: null })
    else if (kept.card > 0) keep({ card: kept.card - 1 })
    else if (kept.garment > 1) keep({ card: cards.length - 1, garment: kept.garment - 1 })
  }

  function show() {
    const card = cards[kept.card]
    at("where").textContent = `Step ${kept.card + 1} of ${cards.length}`
    at("garment").textContent =
      data.garments > 1 ? `Garment ${kept.garment} of ${data.garments}` : data.title
    at("title").textContent = card.title
    at("settings").replaceChildren(...card.settings.map((setting) => {
      const item = document.createElement("li")
      item.textContent = setting
      return item
    }))
    at("extras").textContent = card.extras
    at("why").textContent = card.why
    at("picture").src = card.picture
    at("layers").src = card.layers
    at("layers").hidden = !card.layers
    at("screen").dataset.kind = card.kind
    showTime()
  }

  function showTime() {
    const card = cards[kept.card], timed = card.seconds > 0
    const remaining = kept.ends === null ? card.seconds : Math.max(0, left())
    at("time").hidden = !timed
    at("digits").textContent = clock(remaining)
    const over = timed && kept.ends !== null && remaining === 0
    at("screen").dataset.state = runs() ? "running" : over ? "over" : "ready"
    const share = kept.ends === null ? 1 : Math.max(0, kept.ends - Date.now()) / 1000 / card.seconds
    at("bar").style.transform = `scaleX(${timed ? share : 0})`
    const word = runs() ? (card.kind === "wait" ? "Wait" : "Keep it closed")
      : waits() ? card.start
      : isDone() ? "All garments are done"
      : isLast() ? "Next garment" : over ? `${card.over} Next` : "Next"
    at("next-word").textContent = word
    at("next").setAttribute("aria-disabled", String(runs() || (isDone() && !waits())))
    at("back-word").textContent = kept.ends !== null ? "Restart" : "Back"
    at("back").disabled = kept.card === 0 && kept.garment === 1 && kept.ends === null
    if (runs() && remaining !== announced && remaining <= LAST_SECONDS) say(880, 0.1)
    if (over && announced !== 0 && announced !== -2) say(1175, 0.9)
    announced = runs() ? remaining : over ? 0 : -1
    at("told").textContent = over ? `Time is up. ${card.over}` : ""
    if (runs() && !ticking) ticking = setInterval(showTime, TICK_MS)
    if (!runs() && ticking) {
      clearInterval(ticking)
      ticking = null
    }
  }

  function clock(seconds) {
    const whole = Math.round(seconds)
    if (whole < 60) return `${whole} s`
    return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`
  }

  function key(event) {
    const within = event.composedPath()[0]
    const writes = within.closest && within.closest("input, textarea, select, [role=combobox]")
    if (writes || event.repeat || event.ctrlKey || event.metaKey || event.altKey) return
    const onButton = within.closest && within.closest("button, a, [role=tab], [role=radio]")
    const forward = ["ArrowRight", "PageDown"].includes(event.key) ||
      (["Enter", " "].includes(event.key) && !onButton)
    const backward = ["ArrowLeft", "PageUp", "Backspace"].includes(event.key)
    // Arrows move within the page's own tabs and switches when one of those has the focus.
    const elsewhere = onButton && !parentElement.contains(onButton)
    if (elsewhere && event.key.startsWith("Arrow")) return
    if (forward) next()
    if (backward) back()
    if (forward || backward) event.preventDefault()
  }

  // A time that ended while the page was away is told as over, without a late beep.
  if (kept.ends !== null && !runs()) announced = -2
  at("next").onclick = next
  at("back").onclick = back
  at("over").onclick = () => {
    wake()
    keep({ card: 0, garment: 1, ends: null })
  }
  document.addEventListener("keydown", key)
  show()
  return () => {
    document.removeEventListener("keydown", key)
    clearInterval(ticking)
    if (sound) sound.close()
  }
}
