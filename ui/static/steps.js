// The browser's own buttons: what a person does becomes one step back, and nothing else does; the
// links that we draw ourselves change the page without loading all of it anew.
let touched = false

function listen() {
  const push = history.pushState.bind(history)
  const replace = history.replaceState.bind(history)
  // A field writes into the address in place of what stood there, and what the program adds to it
  // would be a step of its own: the first write after a person's touch is the step, in either case.
  const write = (state, unused, url) => {
    const to = new URL(url ?? location.href, location.href)
    if (to.pathname === location.pathname && to.search === location.search) {
      return replace(state, unused, url)
    }
    const step = touched ? push : replace
    touched = false
    return step(state, unused, url)
  }
  history.pushState = write
  history.replaceState = write
  for (const kind of ["pointerdown", "keydown"]) {
    addEventListener(kind, () => { touched = true }, true)
  }
  addEventListener("popstate", () => { touched = false }, true)
  addEventListener("click", follow, true)
}

function follow(event) {
  const link = event.target.closest?.("a.pl-link")
  const own = event.button === 0 && !(event.ctrlKey || event.metaKey || event.shiftKey || event.altKey)
  if (!link || !own) return
  event.preventDefault()
  if (link.classList.contains("pl-back") && history.length > 1) return history.back()
  touched = true
  history.pushState({}, "", link.href)
  dispatchEvent(new PopStateEvent("popstate"))
}

export default function() {
  if (window.pressloreSteps) return
  window.pressloreSteps = true
  listen()
}
