/** Hands on a chart: drag, pinch, wheel and keys, told as moves of the view. Every one of them has a button elsewhere. */
import { panned, type View, zoomed } from './grid.ts'

export interface Hand {
  view(): View | null
  /** The view under the hand; it may move again with the next picture. */
  move(view: View): void
  /** A span was marked, in columns. */
  mark(fromColumn: number, toColumn: number): void
  /** While it is being marked; null when it is over. */
  marking(span: { from: number; to: number } | null): void
  back(): void
  /** To the first (−1) or the newest (1) of what there is. */
  end(side: -1 | 1): void
  /** The pointer rests over this column; null when it has left. */
  over(column: number | null): void
  /** True where a plain drag marks instead of pans. */
  marks(): boolean
}

/** A drag shorter than this is a click. */
const dragPxMin = 6
const keyZoom = 0.7
const wheelZoomPerPx = 1.0016
const keyPanPart = 0.1

export function holdChart(paper: HTMLElement, hand: Hand): () => void {
  const pointers = new Map<number, number>()
  let begin: { view: View; columns: readonly number[]; marks: boolean } | null = null
  const columnOf = (clientX: number) => (clientX - paper.getBoundingClientRect().left) * devicePixelRatio

  const grip = (marks: boolean) => {
    const view = hand.view()
    begin = view && pointers.size > 0 ? { view, columns: [...pointers.values()], marks } : null
  }
  const down = (event: PointerEvent) => {
    if (event.button !== 0 || pointers.size >= 2) return
    paper.setPointerCapture(event.pointerId)
    pointers.set(event.pointerId, columnOf(event.clientX))
    grip(pointers.size === 1 && (event.shiftKey || hand.marks()))
    if (pointers.size === 2) hand.marking(null)
  }
  const move = (event: PointerEvent) => {
    const column = columnOf(event.clientX)
    if (!pointers.has(event.pointerId) || begin === null)
      return hand.over(event.pointerType === 'touch' ? null : column)
    pointers.set(event.pointerId, column)
    const [first = 0, second] = pointers.values()
    const [first0 = 0, second0] = begin.columns
    if (second !== undefined && second0 !== undefined) {
      const apart = Math.max(20, Math.abs(second - first))
      const middle0 = (first0 + second0) / 2
      const closer = zoomed(begin.view, Math.max(20, Math.abs(second0 - first0)) / apart, middle0)
      hand.move(panned(closer, middle0 - (first + second) / 2))
    } else if (begin.marks) hand.marking({ from: Math.min(first0, first), to: Math.max(first0, first) })
    else hand.move(panned(begin.view, first0 - first))
  }
  const up = (event: PointerEvent) => {
    const at = pointers.get(event.pointerId)
    pointers.delete(event.pointerId)
    if (begin?.marks && at !== undefined) {
      const from = begin.columns[0] ?? at
      hand.marking(null)
      if (event.type === 'pointerup' && Math.abs(at - from) >= dragPxMin * devicePixelRatio)
        hand.mark(Math.min(from, at), Math.max(from, at))
    }
    grip(false)
  }
  const wheel = (event: WheelEvent) => {
    const view = hand.view()
    if (!view) return
    const isSideways = Math.abs(event.deltaX) > Math.abs(event.deltaY)
    // Whoever only scrolls past must not be caught: up and down belongs to the chart once it was taken hold of.
    if (!isSideways && !event.ctrlKey && !paper.closest('[data-chart]')?.contains(document.activeElement)) return
    event.preventDefault()
    const unit = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? 30 : 1
    if (isSideways) hand.move(panned(view, event.deltaX * unit * devicePixelRatio))
    else
      hand.move(
        zoomed(view, wheelZoomPerPx ** (event.deltaY * unit * (event.ctrlKey ? 4 : 1)), columnOf(event.clientX)),
      )
  }
  const leave = () => hand.over(null)
  const twice = () => hand.back()
  paper.addEventListener('pointerdown', down)
  paper.addEventListener('pointermove', move)
  paper.addEventListener('pointerup', up)
  paper.addEventListener('pointercancel', up)
  paper.addEventListener('pointerleave', leave)
  paper.addEventListener('dblclick', twice)
  paper.addEventListener('wheel', wheel, { passive: false })
  return () => {
    paper.removeEventListener('pointerdown', down)
    paper.removeEventListener('pointermove', move)
    paper.removeEventListener('pointerup', up)
    paper.removeEventListener('pointercancel', up)
    paper.removeEventListener('pointerleave', leave)
    paper.removeEventListener('dblclick', twice)
    paper.removeEventListener('wheel', wheel)
  }
}

/** What a key on the chart means; true where it meant something. */
export function keyOnChart(event: KeyboardEvent, hand: Pick<Hand, 'view' | 'move' | 'back' | 'end'>): boolean {
  const view = hand.view()
  if (!view || event.ctrlKey || event.metaKey || event.altKey) return false
  const pan = Math.max(1, Math.round(view.width * (event.shiftKey ? 1 : keyPanPart)))
  switch (event.key) {
    case 'ArrowLeft':
      hand.move(panned(view, -pan))
      return true
    case 'ArrowRight':
      hand.move(panned(view, pan))
      return true
    case '+':
    case '=':
      hand.move(zoomed(view, keyZoom, view.width / 2))
      return true
    case '-':
    case '−':
      hand.move(zoomed(view, 1 / keyZoom, view.width / 2))
      return true
    case 'Home':
      hand.end(-1)
      return true
    case 'End':
      hand.end(1)
      return true
    case 'Escape':
      hand.back()
      return true
    default:
      return false
  }
}
