/** Every limit of the house, each with its unit and its reason. A limit that is not here does not exist. */

/** A reading may lie this far ahead of our clock before it counts as a clock fault.
 *  Reason: instruments on NTP stay within 1 s; a minute tells a wrong clock from a slow one. */
export const measuredAheadMsMax = 60_000

/** An instrument whose live readings arrive this far behind their own time, steadily, has a wrong clock.
 *  Reason: the same minute, seen from the other side. */
export const measuredBehindMsMax = 60_000

/** So many single readings in a row must be steadily apart before the clock is blamed.
 *  Reason: a short backlog sent one by one looks the same for two messages. */
export const clockSuspicionCountMin = 3

/** Silence limit = so many expected intervals … */
export const silenceIntervals = 3
/** … but never less than this. Reason: a lost radio packet is no event. */
export const silenceMsMin = 30_000

/** A reading older at arrival than two intervals and this is backlog, not live. Reason: MEANING of *backlog*. */
export const backlogSlackMs = 5_000

/** Largest MQTT payload that is decoded. Reason: an hour of backlog at 1 Hz is about 200 kB; ten times nothing we know. */
export const payloadBytesMax = 256 * 1024
/** Largest MQTT packet the embedded broker reads at all. Reason: a 1 MB payload must still be acknowledged and told about. */
export const packetBytesMax = 4 * 1024 * 1024
/** So much of an unreadable payload is kept. Reason: enough to recognise the sender, too little to fill a disk. */
export const unreadableKeptBytesMax = 2_048
/** Mappings of other devices' topics. Reason: each is asked for every message that is not in our words. */
export const mappingsMax = 200
/** So many unreadable messages are kept whole; older ones are only counted. */
export const unreadableKeptMax = 10_000
/** Readings in one message. Reason: an hour at 1 Hz, with headroom. */
export const readingsPerMessageMax = 5_000

/** Messages waiting for the group commit before the broker stops reading sockets.
 *  Reason: at 100,000/s this is a third of a second. */
export const intakeWaitingMax = 32_768
/** Rows in one group commit. Reason: bounds the time the event loop stands still to some 10 ms. */
export const commitRowsMax = 4_096
/** Readings in one block. Reason: an hour at 1 Hz with headroom; taking a block out of the open tail then costs some milliseconds. */
export const blockReadingsMax = 4_096
/** An hour is sealed so long after its end. Reason: what a radio or a small backlog brings late need not open it again. */
export const sealAfterMs = 300_000

/** Pause before a failed commit is tried again. Reason: a full disk is freed by a person, not in milliseconds. */
export const commitRetryMs = 1_000

/** Different series the house will remember. Reason: 10,000 instruments announced at once must fit, a mistake in a loop must not. */
export const seriesMax = 25_000
/** Letters in the name of an instrument, station or recipe. */
export const nameLettersMax = 64
/** Stations, instruments, recipes in one foundry document. */
export const stationsMax = 200
export const instrumentsMax = 1_000
export const recipesMax = 500

/** A snapshot is kept at least every so many entries … */
export const snapshotEveryEntries = 200_000
/** … and every so long while anything happens. Reason: recovery then folds at most a minute of flood. */
export const snapshotEveryMs = 60_000
/** How often the watch looks whether silence or a delay has run out. */
export const watchEveryMs = 1_000
/** A keep-alive tick is recorded this often. Reason: after a crash the length of our own absence is known to a minute. */
export const aliveTickMs = 60_000
/** Wall clock and steady clock may part by this much between two looks before it is recorded as a step. */
export const clockStepMs = 5_000

/** A live frame leaves at most this often. Reason: 40 frames a second are more than an eye sees and cheap at 20 listeners. */
export const frameMsMin = 25
/** Frames kept for listeners that lost their connection. */
export const framesKeptMax = 2_400
/** Bytes of those frames at the most. Reason: the memory of a small computer. */
export const framesKeptBytesMax = 24 * 1024 * 1024
/** Bytes that may wait in one listener's socket before it is cut off. Reason: the slow listener is cut, nobody else waits. */
export const listenerBacklogBytesMax = 4 * 1024 * 1024
/** Listeners at once. */
export const listenersMax = 200
/** Largest message a listener may send us: it has nothing to say. */
export const listenerFrameBytesMax = 1_024
/** How often a station's judged state is sent while it changes. */
export const stationViewMsMin = 500

/** Pixel columns of one chart. Reason: an 8k wall. */
export const chartColumnsMax = 8_192
/** Series in one request for charts. Reason: every instrument of a large house on one wall. */
export const chartSeriesMax = 100
/** Periods in one request for sums. Reason: the days of ten years, or the hours of a half. */
export const periodsMax = 4_400
/** Rows of a listing over HTTP. */
export const listRowsMax = 1_000
/** Body of an HTTP request. Reason: a foundry of 1,000 instruments is 400 kB. */
export const bodyBytesMax = 2 * 1024 * 1024
/** Requests from one address in a minute. Reason: a wall of 20 boards after a power cut, not a mistake in a loop. */
export const requestsPerMinuteMax = 3_000

/** A clean stop is given this long. Reason: service managers lose patience soon after. */
export const stopMsMax = 10_000
/** The heartbeat on MQTT, so that a lamp outside can tell a dead gateway. */
export const heartbeatMs = 10_000

/** A logger's table that is brought in. Reason: a year of 64 channels at one a minute is some 700 MB as text. */
export const bringBytesMax = 1024 * 1024 * 1024
/** So much of a table is looked at to guess how it is written. Reason: a clock change or a day past the 12th needs some thousand lines. */
export const bringLookBytesMax = 256 * 1024
/** Columns of a table. Reason: the widest multi-channel loggers have 64, and as many of their alarms. */
export const bringColumnsMax = 256
/** Columns of a table that are brought in at once. Reason: the plan travels in an address, and addresses end at 16 kB. */
export const bringSeriesMax = 64
/** Lines before the head of a table. Reason: loggers write their settings there; beyond this it is another kind of file. */
export const bringPreambleLinesMax = 1_000
/** Letters in one line of a table. Reason: a quote that is never closed must not swallow the file. */
export const bringLineLettersMax = 64 * 1024
/** Readings of a table handed over at once. Reason: live readings wait for the group commit behind them. */
export const bringBatchMax = 2_000
/** Readings of one table that a dry run remembers, to find the same instant further on in it. Reason: 16 bytes each. */
export const bringRememberedMax = 2_000_000
/** Lines told one by one where they cannot be read, conflict or fall into a clock change; the others are counted. */
export const bringToldMax = 20
/** Tables being read at once. Reason: each holds a batch and asks the disk; a foundry has one owner at one desk. */
export const bringsAtOnceMax = 2
/** Series of one export. Reason: an address of 8 kB. */
export const exportSeriesMax = 100

/** Blocks sealed in one go. Reason: readings that arrive meanwhile wait for some milliseconds, not for a day's worth of hours. */
export const sealBlocksAtOnce = 4
/** Pause between two of those. Reason: what arrives comes first. */
export const sealPauseMs = 25
/** How often it is looked whether an hour is finished. */
export const sealEveryMs = 60_000
/** How often it is looked whether a backup is due, and whether anything is to be let go. */
export const upkeepEveryMs = 60_000
/** A backup that failed is tried again after this. Reason: a full disk or an unplugged drive is seen to by a person. */
export const backupRetryMs = 3_600_000
/** Hours between two backups: from one to a month. */
export const backupHoursMax = 744
/** Backups that are kept. */
export const backupKeepMax = 1_000
/** How often it is looked whether the mail of the night is due. Reason: a minute late is on time. */
export const mailLookEveryMs = 30_000
/** The first look after a start. Reason: a mail that the gateway slept through goes soon, but not before the instruments. */
export const mailFirstLookMs = 1_000
/** A mail that was not taken is tried again after this, then after twice as long, and so on … */
export const mailRetryMsMin = 60_000
/** … up to this; at once after this where the server's answer will not change by itself. Reason: a wrong password tried often locks the account. */
export const mailRetryMsMax = 3_600_000
/** A recipient whom the server refuses for good is tried so often in one night. Reason: somebody may put it right meanwhile. */
export const mailRefusedTriesMax = 3
/** A night is mailed at most so long after its hour. Reason: then the next one is due. */
export const mailLateMsMax = 86_400_000
/** A mail that goes so long after its hour says so. */
export const mailLateToldMs = 900_000
/** One try ends after this, or after so long a silence of the server. */
export const mailTryMsMax = 120_000
export const mailSilenceMsMax = 30_000
/** A stop waits so long for a mail that is on its way. Reason: one whose answer was not heard is sent again. */
export const mailStopMsMax = 3_000
/** Recipients of the nightly mail. Reason: whoever has more has a mailing list. */
export const mailRecipientsMax = 20
/** Readings are kept at least so many days where any are let go at all. Reason: a bad pour is asked about a year later. */
export const keepDaysMin = 400
export const keepDaysMax = 36_500
/** Times of letting go that the page lists. */
export const letGoListed = 10
/** How long the pace of growth is remembered before it is told anew. Reason: it reads the headers of a week. */
export const paceEveryMs = 3_600_000
