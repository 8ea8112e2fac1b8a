// Package st reads, checks and runs programs in Structured Text of IEC 61131-3 (2013), so that
// the program that runs on a machine can run on the bench. Facts of the standard are from memory;
// the comments name the table or figure.
//
//	program, warnings, err := st.Compile("test.st", text)
//	block, err := program.Block("Main")
//	trigger, err := program.Find(block, "trigger")
//	machine, err := program.New(block)
//	machine.PutBool(trigger, true)
//	err = machine.Scan(now)
//
// # What is supported
//
//   - PROGRAM, FUNCTION_BLOCK and FUNCTION, in any order; names in any case.
//   - VAR, VAR_INPUT, VAR_OUTPUT, VAR_IN_OUT, VAR_TEMP, CONSTANT, RETAIN, NON_RETAIN, initial values.
//   - TYPE with enumerations (with values, with a base type, qualified as Type#Name), structures,
//     arrays of several dimensions, subranges, other names for types, each with an initial value.
//   - BOOL, SINT to LINT, USINT to ULINT, BYTE to LWORD, REAL, LREAL, TIME, STRING up to 255
//     characters of one byte (ISO 8859-1).
//   - All operators; typed literals, numbers with a base, durations down to ns.
//   - IF, CASE with lists and ranges, FOR, WHILE, REPEAT, EXIT, CONTINUE, RETURN; calls with
//     arguments by name or by position, outputs by =>.
//   - TON, TOF, TP, R_TRIG, F_TRIG, SR, RS, CTU, CTD, CTUD and the counters of other integers.
//   - The standard's functions: numeric, arithmetic, bit, selection, comparison, string, conversion
//     (X_TO_Y, TO_Y, TRUNC, X_TRUNC_Y, BCD), and ADD_TIME, SUB_TIME, MUL_TIME, DIV_TIME.
//   - Comments (* *), /* */ and //, the first two nested; pragmas { } are skipped.
//
// # What is not
//
// Pointers and references, classes, methods and interfaces, namespaces, global variables and
// configurations, direct addresses, edges of inputs (R_EDGE), access to single bits, arrays of open
// length, WSTRING, dates and LTIME, EN and ENO, sequential function charts, JMP. Each is refused
// with its place and with what to write instead. Recursion is refused, as in the standard.
//
// # What the standard leaves open
//
//   - Integers wrap around at the limits of their type in + - * /, in the sign, in ABS and in
//     conversions between integers and bit strings, as on most controllers (common practice).
//   - A division by zero stops the program, of integers, reals and times, with MOD too.
//   - REAL has 32 bits in every step. A result that is not finite stops the program, so that no
//     infinity or NaN goes out of it. So does a function outside its range, such as SQRT of -1.
//   - A conversion from REAL or LREAL rounds to the nearest, a half to the even one, and stops the
//     program if the value does not fit. TIME counts in ms in conversions; what does not fit stops.
//   - An index outside an array and a value outside a subrange stop the program.
//   - A string is cut off at the length of the variable.
//   - Both sides of AND and OR are evaluated, so that a fault on the right does not wait for the day
//     when the left lets it through.
//   - A sign binds tighter than **, as the standard's table says; a warning points it out.
//   - Only conversions that keep each value are done without being asked for. BOOL, bit strings and
//     integers are different things.
//   - Timers take the time at the beginning of the scan. RETAIN keeps timers too; their time stands
//     still while there is no power.
//
// A program that stops has a [RuntimeError] with line and column. It stays stopped until the power
// is cycled. Each scan has a budget of steps, which is its watchdog: nothing runs for ever, and
// as nothing is recursive, the memory of an instance is known before it runs.
//
// # Why the parser is written by hand
//
// A parser made by a library (participle v2.1.4 was tried) ends at its first error, and where it
// tries alternatives it reports the end of the rule around them: for a = 1 where a := 1 is meant,
// it says that END_PROGRAM is expected. Users need all errors of a file at once, at their places,
// with what would be right. The recursive descent here goes on after each error at the next
// statement or declaration, and knows what is commonly written in other languages.
//
// # How it runs
//
// The checked tree is compiled to closures over a flat memory of 64-bit slots, an instance behind
// the other. Variables are found before the run; a scan looks nothing up and allocates nothing.
package st
