/** Where the viewer is: the address of the page, read and written without loading it anew. */

export type Route =
  | { page: 'floor' | 'wall' | 'alarms' | 'unreadable' | 'unclaimed' | 'nowhere' }
  | { page: 'station'; id: string }

export function routeOf(pathname: string): Route {
  const [first = '', second, ...more] = pathname.split('/').filter((part) => part !== '')
  if (more.length > 0) return { page: 'nowhere' }
  if (first === 'station' && second !== undefined) return { page: 'station', id: decoded(second) }
  if (second !== undefined) return { page: 'nowhere' }
  if (first === '') return { page: 'floor' }
  if (first === 'wall' || first === 'alarms' || first === 'unreadable' || first === 'unclaimed') return { page: first }
  return { page: 'nowhere' }
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

export class Place {
  route = $state.raw<Route>(routeOf(location.pathname))

  go(path: string): void {
    history.pushState(null, '', path)
    this.route = routeOf(location.pathname)
    scrollTo(0, 0)
    document.querySelector<HTMLElement>('main')?.focus({ preventScroll: true })
  }

  /** Follows the browser's back and forward, and every link of our own; returns how to stop. */
  start(): () => void {
    const moved = () => {
      this.route = routeOf(location.pathname)
    }
    const clicked = (event: MouseEvent) => {
      const link = event.target instanceof Element ? event.target.closest('a') : null
      if (!link || link.origin !== location.origin || link.target !== '' || event.defaultPrevented) return
      if (event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return
      event.preventDefault()
      this.go(link.pathname)
    }
    addEventListener('popstate', moved)
    document.addEventListener('click', clicked)
    return () => {
      removeEventListener('popstate', moved)
      document.removeEventListener('click', clicked)
    }
  }
}
