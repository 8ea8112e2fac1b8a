// Validates YAML documents with ajv. Argument: the folder with node_modules. Input: an object
// {schemas: {kind: schema}, documents: [{kind, text}]}; output: for each document true or false.
const { createRequire } = require("node:module");
const { readFileSync } = require("node:fs");
const load = createRequire(process.argv[2] + "/");
const Ajv = load("ajv/dist/2020");
const yaml = load("yaml"); // YAML 1.2, as editors read it

const input = JSON.parse(readFileSync(0, "utf8"));
// Strict about keywords that do not exist; a shared rule for several types is meant.
const ajv = new Ajv({ strict: true, strictTypes: false, strictRequired: false, allErrors: true });
const compiled = Object.fromEntries(Object.entries(input.schemas).map(([kind, s]) => [kind, ajv.compile(s)]));
const answers = input.documents.map(({ kind, text }) => {
  const d = yaml.parseDocument(text, { logLevel: "silent" });
  return d.errors.length === 0 && compiled[kind](d.toJS());
});
process.stdout.write(JSON.stringify(answers));
