// The phrases of tests/words/never.csv as a check for the prose linter.
const fs = require('fs')
const path = require('path')

const [, ...rows] = fs
  .readFileSync(path.join(__dirname, '../tests/words/never.csv'), 'utf8')
  .split('\n')
  .filter(line => line && !line.startsWith('#'))
  .map(line => line.split(';'))

const escaped = text => text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')

function never(text) {
  return rows.flatMap(([phrase, instead]) => {
    const within = rows.filter(row => row[0] === phrase && row[2]).map(row => row[2])
    let rest = text
    for (const longer of within) rest = rest.replace(new RegExp(escaped(longer), 'gi'), '-'.repeat(longer.length))
    const found = rest.matchAll(new RegExp(`(?<![\\w_])${escaped(phrase)}(?![\\w_])`, 'gi'))
    return [...found].map(({ index, 0: { length } }) => ({ index, offset: length, reason: `"${phrase}": say ${instead}` }))
  })
}

module.exports = { never: { fn: never, explanation: 'is not said here' } }
