// Decodes FIT files with an independent library and prints one line of JSON
// for each: the records' times and channels, or why it could not be read.
//
//   node decode.mjs FOLDER_OF_THE_LIBRARY FILE...

import fs from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';

const [folder, ...files] = process.argv.slice(2);
const library = path.join(folder, 'node_modules/fit-file-parser/dist/fit-parser.js');
const { default: FitParser } = await import(pathToFileURL(library));

// chained cuts a file into the FIT files that it chains, by their headers.
function chained(data) {
  const parts = [];
  for (let at = 0; at + 12 <= data.length && data.toString('latin1', at + 8, at + 12) === '.FIT';) {
    const next = Math.min(at + data[at] + data.readUInt32LE(at + 4) + 2, data.length);
    parts.push(data.subarray(at, next));
    at = next;
  }
  return parts;
}

// row picks what is compared out of a record. "Power" is the name that a
// running sensor gives its developer field.
function row(record) {
  const time = record.timestamp instanceof Date ? record.timestamp.getTime() : null;
  return [
    time, record.heart_rate ?? null, record.power ?? record.Power ?? null,
    record.enhanced_speed ?? record.speed ?? null,
    record.enhanced_altitude ?? record.altitude ?? null,
  ];
}

// decode gives the rows of one file.
async function decode(file) {
  const rows = [];
  for (const part of chained(fs.readFileSync(file))) {
    const parser = new FitParser({ force: true, mode: 'list', speedUnit: 'm/s', lengthUnit: 'm' });
    const { records = [] } = await parser.parseAsync(part);
    for (const record of records) rows.push(row(record));
  }
  return rows;
}

for (const file of files) {
  const line = { file, rows: [], error: '' };
  try {
    line.rows = await decode(file);
  } catch (error) {
    line.error = String(error);
  }
  process.stdout.write(JSON.stringify(line) + '\n');
}
