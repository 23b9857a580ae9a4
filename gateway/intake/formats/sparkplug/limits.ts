/** Limits of this room, each with its unit and its reason. */

/** Edge nodes remembered at once. Reason: a foundry has one for each hall or controller; a mistake in a loop must find an end. */
export const edgeNodesMax = 256
/** Devices of one edge node. */
export const devicesPerNodeMax = 256
/** Metrics in one payload, and of one edge node with all its devices. Reason: the readings that one message may hold. */
export const metricsPerNodeMax = 5_000
/** Metrics of all edge nodes. Reason: the series that the house remembers. */
export const metricsMax = 25_000
/** Letters in a metric's name. Reason: paths of real controllers have some hundred. */
export const metricNameLettersMax = 256
/** Letters in the id of a group, node or device. */
export const idLettersMax = 128

/** A message may come so many places late or early before its neighbours count as lost. Reason: what a broker can have under way. */
export const reorderPlacesMax = 16
/** What is missing is waited for so long. Reason: a message that took another way comes within a second or not at all. */
export const reorderMs = 2_000
/** A node is asked for its birth at most this often. Reason: a large birth takes seconds on a slow link. */
export const rebirthAskMs = 10_000
/** Values of one node that wait for the birth that explains them. Reason: what can come in the time of waiting; each is on disk already. */
export const heldMetricsMax = 200
/** Births of one node by which a repeated one is known. Reason: each device may be born once while a message is under way. */
export const birthsRememberedMax = 64
