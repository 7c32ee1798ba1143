// The screen at the press: one step at a time, its countdown, and one large place to touch.
// Words arrive as data and are only ever set as text; drawings arrive as images. All that happens
// afterwards happens in this browser, so that a lost connection stops nobody.
const TICK_MS = 100
const LAST_SECONDS = 3
const SURE_MS = 4000
const MOST_BACK = 100
const LEAST_ROOM_PX = 430

export default function ({ data, parentElement }) {
  const at = (name) => parentElement.querySelector(`[data-at="${name}"]`)
  const cards = data.cards, garments = data.garments
  const place = `presslore-press-${data.key}`
  const fresh = { card: 0, garment: 1, ends: null, begun: 1, cooling: [] }
  let sound = null
  let ticking = null
  let sure = null
  let announced = -1
  let past = []
  let kept = read()
  let cooled = new Set(kept.cooling.filter(isCool).map((one) => one.garment))

  function read() {
    try {
      const found = { ...fresh, ...JSON.parse(localStorage.getItem(place)) }
      const fits = ({ card, garment }) =>
        card >= 0 && card < cards.length && garment >= 1 && garment <= garments.length
      found.begun = Math.max(found.begun, found.garment)
      return fits(found) && found.cooling.every(fits) ? found : fresh
    } catch {
      return fresh
    }
  }

  function keep(change) {
    past = [...past.slice(-MOST_BACK), kept]
    put({ ...kept, ...change })
  }

  function put(state) {
    kept = state
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
    stayAwake()
  }

  function stayAwake() {
    if (navigator.wakeLock && document.visibilityState === "visible") {
      navigator.wakeLock.request("screen").catch(() => {})
    }
  }

  const step = () => cards[kept.card]
  const isLast = () => kept.card === cards.length - 1
  const left = () => (kept.ends === null ? null : Math.ceil((kept.ends - Date.now()) / 1000))
  const runs = () => kept.ends !== null && left() > 0
  const waits = () => step().seconds > 0 && kept.ends === null
  const isDone = () =>
    isLast() && !waits() && kept.begun === garments.length && !kept.cooling.length
  function isCool(one) {
    return one.ends !== null && one.ends <= Date.now()
  }
  // Where a garment lies off the press to cool, the press is free for the next.
  const frees = () => waits() && step().off && !isLast() && canTakeUp()
  const canTakeUp = () => kept.begun < garments.length || kept.cooling.length > 0

  function next() {
    wake()
    if (runs()) return
    if (frees()) {
      const ends = Date.now() + step().seconds * 1000
      takeUp([...kept.cooling, { garment: kept.garment, card: kept.card, ends }])
    } else if (waits()) {
      announced = -1
      say(660, 0.12)
      keep({ ends: Date.now() + step().seconds * 1000 })
    } else if (!isLast()) {
      keep({ card: kept.card + 1, ends: null })
    } else if (!isDone()) {
      takeUp(kept.cooling)
    }
  }

  const firstToCool = (cooling) => [...cooling].sort((one, other) => one.ends - other.ends)[0]
  const takesNew = (first) => kept.begun < garments.length && !(first && isCool(first))

  // A garment that has cooled, or else the next from the pile, or else the first to have cooled.
  function takeUp(cooling) {
    const first = firstToCool(cooling)
    if (takesNew(first)) {
      keep({ card: data.again, garment: kept.begun + 1, ends: null, begun: kept.begun + 1, cooling })
    } else {
      keep({ ...first, cooling: cooling.filter((one) => one !== first) })
    }
  }

  function swap(one) {
    wake()
    if (runs() && !step().off) return
    const here = { garment: kept.garment, card: kept.card, ends: kept.ends }
    const others = kept.cooling.filter((each) => each !== one)
    announced = -2
    keep({ ...one, cooling: isDoneHere() ? others : [...others, here] })
  }

  const isDoneHere = () => isLast() && !waits() && !runs()

  function back() {
    wake()
    if (past.length) put(past.pop())
    else if (kept.ends !== null) put({ ...kept, ends: null })
    else if (kept.card > 0) put({ ...kept, card: kept.card - 1 })
  }

  function startOver() {
    wake()
    if (sure === null) {
      sure = setTimeout(unsure, SURE_MS)
      at("over").textContent = "Touch again to start over"
      at("over").dataset.sure = "yes"
    } else {
      unsure()
      keep(fresh)
    }
  }

  function unsure() {
    clearTimeout(sure)
    sure = null
    at("over").textContent = "Start over"
    delete at("over").dataset.sure
  }

  function full() {
    const filled = at("screen").classList.toggle("full")
    at("full").textContent = filled ? "Leave full screen" : "Full screen"
    if (filled) at("screen").requestFullscreen?.().catch(() => {})
    else if (document.fullscreenElement) document.exitFullscreen().catch(() => {})
  }

  function items(place, made) {
    at(place).replaceChildren(...made.map((content) => {
      const item = document.createElement("li")
      item.append(...content)
      return item
    }))
  }

  function swatch(colour) {
    const dot = document.createElement("i")
    dot.style.background = colour
    return dot
  }

  const garmentWords = (number) =>
    `Garment ${number} of ${garments.length}: ${garments[number - 1]}`

  function then() {
    if (frees()) return `Meanwhile: ${afterThis(kept.cooling)}`
    if (!isLast()) return `Then: ${cards[kept.card + 1].title}`
    return isDone() ? "" : `Then: ${afterThis(kept.cooling)}`
  }

  function afterThis(cooling) {
    const first = firstToCool(cooling)
    return takesNew(first)
      ? garmentWords(kept.begun + 1) : `${garmentWords(first.garment)}, which cools`
  }

  function show() {
    const card = step()
    at("where").textContent = `${data.sample ? "Sample first · " : ""}Step ${kept.card + 1} of ${cards.length}`
    at("garment").textContent = garmentWords(kept.garment)
    at("title").textContent = card.title
    items("settings", card.settings.map((setting) => [setting]))
    items("lays", card.lays.map(([name, colour]) => [swatch(colour), name]))
    at("extras").textContent = card.extras
    at("why").textContent = card.why
    at("picture").src = card.layers || card.picture
    at("screen").dataset.kind = card.kind
    showTime()
  }

  function showTime() {
    const card = step(), timed = card.seconds > 0
    const remaining = kept.ends === null ? card.seconds : Math.max(0, left())
    at("time").hidden = !timed
    at("digits").textContent = clock(remaining)
    const over = timed && kept.ends !== null && remaining === 0
    at("screen").dataset.state = runs() ? "running" : over ? "over" : "ready"
    const share = kept.ends === null ? 1 : Math.max(0, kept.ends - Date.now()) / 1000 / card.seconds
    at("bar").style.transform = `scaleX(${timed ? share : 0})`
    const word = runs() ? (card.kind === "wait" ? "Wait" : "Keep it closed")
      : frees() ? "It cools; take the next"
      : waits() ? card.start
      : isDone() ? "All garments are done"
      : isLast() ? "Next garment" : over ? `${card.over} Next` : "Next"
    at("next-word").textContent = word
    at("next").setAttribute("aria-disabled", String(runs() || isDone()))
    at("back-word").textContent = kept.ends !== null ? "Restart" : "Back"
    at("back").disabled = !past.length && kept.card === 0 && kept.ends === null
    at("then").textContent = then()
    if (runs() && remaining !== announced && remaining <= LAST_SECONDS) say(880, 0.1)
    if (over && announced !== 0 && announced !== -2) say(1175, 0.9)
    announced = runs() ? remaining : over ? 0 : -1
    showCooling()
    at("told").textContent = over ? `Time is up. ${card.over}` : [...cooled].length
      ? `Cooled: garment ${[...cooled].join(", ")}.` : ""
    const counts = runs() || kept.cooling.length > 0
    if (counts && !ticking) ticking = setInterval(showTime, TICK_MS)
    if (!counts && ticking) {
      clearInterval(ticking)
      ticking = null
    }
  }

  function showCooling() {
    const here = at("cooling")
    if (here.children.length !== kept.cooling.length) {
      items("cooling", kept.cooling.map(() => [document.createElement("button")]))
    }
    const ready = new Set()
    kept.cooling.forEach((one, n) => {
      const chip = here.children[n].firstChild
      const seconds = one.ends === null ? null : Math.max(0, Math.ceil((one.ends - Date.now()) / 1000))
      const word = seconds === null ? "waits" : seconds ? clock(seconds) : "cool, take it"
      const words = `${one.garment}: ${word}`
      if (chip.textContent !== words) chip.textContent = words
      chip.onclick = () => swap(one)
      if (seconds === 0) {
        chip.dataset.cool = "yes"
        ready.add(one.garment)
      } else delete chip.dataset.cool
    })
    if ([...ready].some((garment) => !cooled.has(garment))) say(990, 0.5)
    cooled = ready
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
    if (event.key === "Escape" && at("screen").classList.contains("full")) full()
    // Arrows move within the page's own tabs and switches when one of those has the focus.
    const elsewhere = onButton && !parentElement.contains(onButton)
    if (elsewhere && event.key.startsWith("Arrow")) return
    if (forward) next()
    if (backward) back()
    if (forward || backward) event.preventDefault()
  }

  // The screen is as high as the window leaves, so that nothing a step needs is below its edge.
  function fit() {
    const scroller = at("screen").closest ? document.querySelector('[data-testid="stMain"]') : null
    const top = at("screen").getBoundingClientRect().top + (scroller ? scroller.scrollTop : 0)
    const room = Math.max(LEAST_ROOM_PX, window.innerHeight - top - 8)
    if (!at("screen").classList.contains("full")) {
      at("screen").style.setProperty("--room", `${room}px`)
    }
  }

  function leftFull() {
    if (!document.fullscreenElement && at("screen").classList.contains("full")) full()
  }

  // A time that ended while the page was away is told as over, without a late beep.
  if (kept.ends !== null && !runs()) announced = -2
  at("next").onclick = next
  at("back").onclick = back
  at("over").onclick = startOver
  at("full").onclick = full
  const sized = new ResizeObserver(fit)
  sized.observe(document.body)
  if (document.querySelector("h1")) sized.observe(document.querySelector("h1"))
  window.addEventListener("resize", fit)
  document.addEventListener("keydown", key)
  document.addEventListener("visibilitychange", stayAwake)
  document.addEventListener("fullscreenchange", leftFull)
  fit()
  show()
  return () => {
    sized.disconnect()
    window.removeEventListener("resize", fit)
    document.removeEventListener("keydown", key)
    document.removeEventListener("visibilitychange", stayAwake)
    document.removeEventListener("fullscreenchange", leftFull)
    clearInterval(ticking)
    unsure()
    if (sound) sound.close()
  }
}
