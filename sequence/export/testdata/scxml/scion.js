// Runs the recordings of a folder through the interpreter @scion-scxml/scxml, and compares states, outputs,
// kept values and causes after every scan with what the bench's machine did. Recordings and charts are
// written by TestWriteChartRecordings.
//
//	NODE_PATH=.../node_modules node scion.js FOLDER
"use strict";
const fs = require("fs");
const path = require("path");
const scxml = require("@scion-scxml/scxml");

const folder = process.argv[2];
const charts = new Map(); // by file: how to make a new interpreter

function promised(call) {
  return new Promise((resolve, reject) => call((err, value) => (err ? reject(err) : resolve(value))));
}

async function chartOf(file) {
  if (!charts.has(file)) {
    const text = fs.readFileSync(path.join(folder, file), "utf8");
    charts.set(file, await promised((done) => scxml.documentStringToModel(file, text, done)));
  }
  return charts.get(file);
}

// A session is an interpreter with what it has logged last.
async function begin(file) {
  const chart = await chartOf(file);
  const model = await promised((done) => chart.prepare(done));
  const session = { shown: {} };
  const log = (label, text) => {
    if (label === "entered") session.shown = JSON.parse(text);
  };
  session.machine = new scxml.core.Statechart(model, { console: { log } });
  session.machine.on("onError", (e) => {
    throw new Error(JSON.stringify(e));
  });
  session.machine.start();
  return session;
}

// A number that rests on a cosine may differ in its last digits: 4 units of 2^-52, relative.
function same(got, want, byCosine) {
  return got === want || (byCosine && Math.abs(got - want) <= 4 * Number.EPSILON * Math.abs(want));
}

function differences(session, want, byCosine) {
  const found = [];
  const state = session.machine.getConfiguration().join(" ");
  if (state !== want.state) found.push(`state is ${state}, must be ${want.state}`);
  for (const part of ["outputs", "kept"]) {
    for (const [name, value] of Object.entries(want[part])) {
      const got = (session.shown[part] || {})[name];
      if (!same(got, value, byCosine.includes(name))) found.push(`${name} is ${JSON.stringify(got)}, must be ${JSON.stringify(value)}`);
    }
  }
  if (session.shown.cause !== want.cause) found.push(`cause is ${session.shown.cause}, must be ${want.cause}`);
  return found;
}

async function replay(file) {
  const lines = fs.readFileSync(path.join(folder, file), "utf8").trim().split("\n").map((l) => JSON.parse(l));
  const { chart, by_cosine } = lines[0];
  let session, image, want;
  let scans = 0;
  for (const [at, line] of lines.entries()) {
    if (at === 0) continue;
    if (line.begin) {
      session = await begin(chart);
      if (line.begin === "operation") session.machine.gen({ name: "operation" });
      [image, want] = [{}, { outputs: {}, kept: {} }];
      continue;
    }
    image = Object.assign({}, image, line.image);
    for (const part of ["outputs", "kept"]) Object.assign(want[part], line[part]);
    if ("state" in line) want.state = line.state;
    if ("cause" in line) want.cause = line.cause;
    session.machine.gen({ name: "scan", data: Object.assign({}, image, line.scans ? { scans: line.scans } : {}) });
    scans++;
    const found = differences(session, want, by_cosine);
    if (found.length) throw new Error(`${file}:${at + 1}: ${found.join("; ")}`);
  }
  return scans;
}

(async () => {
  const files = fs.readdirSync(folder).filter((f) => f.endsWith(".jsonl")).sort();
  let scans = 0, wrong = 0;
  for (const file of files) {
    try {
      scans += await replay(file);
    } catch (e) {
      wrong++;
      console.error(e instanceof Error ? e.message : e);
    }
  }
  console.log(`@scion-scxml/scxml: ${files.length} recordings, ${scans} scans as on the bench, ${wrong} recordings not`);
  process.exit(wrong || !files.length ? 1 : 0);
})();
