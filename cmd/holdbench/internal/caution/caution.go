// Package caution has the warnings that stand wherever the program might be taken for more
// than a bench.
package caution

// Short ends the help of the program and what is worked out for a machine; see the README
// for the whole of it.
const Short = `A simulation proves no machine safe. Nobody stays under a raised load: prop it.
The machine's risk assessment, the makers' manuals, the standards that apply and
qualified people decide on the test, its torque, its interval and its
validation.
`

// Attached is shown wherever a real controller takes part in a run.
const Attached = `An attached controller must not be wired to a machine: its outputs would move
it. Disconnect drives, brakes and valves, not only their enables. A simulation
proves no machine safe.
`

// Whole is shown before every lesson and every riddle, and in the help of the bench.
const Whole = "A simulation proves no machine safe. Gravity-loaded axes kill: nobody stays under a raised load, prop it. " +
	"The machine's risk assessment, the makers' manuals, the standards that apply (EN ISO 13849-1 and -2, " +
	"IEC 61800-5-2, EN ISO 16090-1, local rules) and qualified people decide on the test, its torque, its interval and its validation."
