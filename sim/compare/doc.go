// Package compare compares two runs: at one moment, over their whole time, by the states that they
// enter, and by what came of them. It knows no terminal.
package compare
