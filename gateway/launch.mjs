/** The one command behind every npm script: makes sure that everything is there and built, then becomes the program that was asked for. */

const nodeMajor = Number(process.versions.node.split('.')[0])

if (nodeMajor < 20) {
  console.error(
    `Cirewatch needs Node.js 20 or newer, and this is ${process.versions.node}: install a newer one, then try again.`,
  )
  process.exitCode = 1
} else {
  // Only now: an older Node would stumble over the syntax of these files before it could say so.
  import('./launch/verbs.mjs').then((verbs) => verbs.launch(process.argv[2], process.argv.slice(3)))
}
