/** Topics and topic filters as MQTT matches them. */

/** What the `+` of a filter matched, in order; null where the topic is not covered (MQTT 3.1.1, 4.7). */
export function matched(filter: readonly string[], topic: readonly string[]): string[] | null {
  const [first = ''] = topic
  // 4.7.2: topics that begin with $ are a broker's own, and no wildcard at the beginning reaches them.
  if (first.startsWith('$') && (filter[0] === '+' || filter[0] === '#')) return null
  const found: string[] = []
  for (let i = 0; i < filter.length; i++) {
    const level = filter[i]
    // 4.7.1.2: # also stands for nothing at all, the parent level.
    if (level === '#') return found
    const here = topic[i]
    if (here === undefined) return null
    if (level === '+') found.push(here)
    else if (level !== here) return null
  }
  return filter.length === topic.length ? found : null
}
