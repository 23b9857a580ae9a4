/** Where the viewer is: the address of the page, read and written without loading it anew. */

export type Route =
  | {
      page:
        | 'floor'
        | 'wall'
        | 'alarms'
        | 'unreadable'
        | 'unclaimed'
        | 'keeping'
        | 'look-back'
        | 'instruments'
        | 'begin'
        | 'recipes'
        | 'recipe-new'
        | 'nights'
        | 'dip-board'
        | 'nowhere'
    }
  | { page: 'station' | 'bench' | 'kiln' | 'record' | 'night' | 'instrument' | 'recipe' | 'recipe-edit'; id: string }

const plainPages = [
  'wall',
  'alarms',
  'unreadable',
  'unclaimed',
  'keeping',
  'look-back',
  'instruments',
  'begin',
  'recipes',
  'nights',
  'dip-board',
] as const
type PlainPage = (typeof plainPages)[number]

function isPlain(word: string): word is PlainPage {
  return plainPages.some((page) => page === word)
}

export function routeOf(pathname: string): Route {
  const [first = '', second, ...more] = pathname.split('/').filter((part) => part !== '')
  if (first === 'recipes' && second !== undefined) return recipeRoute(second, more)
  if (more.length > 0) return { page: 'nowhere' }
  if (first === 'station' && second !== undefined) return { page: 'station', id: decoded(second) }
  if (first === 'bench' && second !== undefined) return { page: 'bench', id: decoded(second) }
  if (first === 'kiln' && second !== undefined) return { page: 'kiln', id: decoded(second) }
  if (first === 'night' && second !== undefined) return { page: 'night', id: decoded(second) }
  if (first === 'record' && second !== undefined) return { page: 'record', id: decoded(second) }
  if (first === 'instruments' && second !== undefined) return { page: 'instrument', id: decoded(second) }
  if (second !== undefined) return { page: 'nowhere' }
  if (first === '') return { page: 'floor' }
  if (isPlain(first)) return { page: first }
  return { page: 'nowhere' }
}

function recipeRoute(second: string, more: readonly string[]): Route {
  const id = decoded(second)
  if (more.length === 1 && more[0] === 'edit') return { page: 'recipe-edit', id }
  if (more.length > 0) return { page: 'nowhere' }
  return second === 'new' ? { page: 'recipe-new' } : { page: 'recipe', id }
}

function decoded(text: string): string {
  try {
    return decodeURIComponent(text)
  } catch {
    return text
  }
}

export function stationPath(id: string): string {
  return `/station/${encodeURIComponent(id)}`
}

export function benchPath(id: string): string {
  return `/bench/${encodeURIComponent(id)}`
}

export function instrumentPath(id: string): string {
  return `/instruments/${encodeURIComponent(id)}`
}

export function recipePath(id: string): string {
  return `/recipes/${encodeURIComponent(id)}`
}

function looksIn(state: unknown): number {
  const looks = (state as { looks?: unknown } | null)?.looks
  return typeof looks === 'number' ? looks : 0
}

export class Place {
  route = $state.raw<Route>(routeOf(location.pathname))
  /** What the page is told beside its name. */
  search = $state.raw(location.search)
  /** How many looks on this page lie behind this one, for its own way back. */
  looksBehind = $state.raw(looksIn(history.state))

  go(path: string): void {
    history.pushState(null, '', path)
    this.#read()
    scrollTo(0, 0)
    document.querySelector<HTMLElement>('main')?.focus({ preventScroll: true })
  }

  /** Another page stands in place of this one: the way back does not lead here. */
  instead(path: string): void {
    history.replaceState(null, '', path)
    this.#read()
  }

  /** The same page says something else of itself: as a new look that the way back leads from, or in place of the last. */
  note(search: string, isNew: boolean): void {
    const looks = looksIn(history.state) + (isNew ? 1 : 0)
    if (isNew) history.pushState({ looks }, '', search)
    else history.replaceState({ looks }, '', search)
    this.#read()
  }

  #read(): void {
    this.route = routeOf(location.pathname)
    this.search = location.search
    this.looksBehind = looksIn(history.state)
  }

  /** Follows the browser's back and forward, and every link of our own; returns how to stop. */
  start(): () => void {
    const moved = () => this.#read()
    const clicked = (event: MouseEvent) => {
      const link = event.target instanceof Element ? event.target.closest('a') : null
      if (
        !link ||
        link.origin !== location.origin ||
        link.target !== '' ||
        link.download !== '' ||
        event.defaultPrevented
      )
        return
      if (event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return
      event.preventDefault()
      this.go(link.pathname + link.search)
    }
    addEventListener('popstate', moved)
    document.addEventListener('click', clicked)
    return () => {
      removeEventListener('popstate', moved)
      document.removeEventListener('click', clicked)
    }
  }
}
