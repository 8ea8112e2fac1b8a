// Package unasked keeps bubbletea from asking the terminal for its background colour.
//
// It would ask while the program starts, for every command, and wait five seconds for a
// terminal that gives no answer. We draw in colours that both backgrounds bear, so the
// answer is of no use. The question stands in bubbletea's own initialisation and cannot
// be switched off, but it is not put where CI says that nobody is there. Packages are
// initialised in the order of their import paths, each as soon as what it imports is (Go
// specification, "Program initialization"); this one needs os alone and comes first.
// A test of the built program holds that nothing is asked.
package unasked

import "os"

const variable = "CI"

func init() { //nolint:gochecknoinits // nothing else comes before bubbletea
	if os.Getenv(variable) == "" {
		_ = os.Setenv(variable, mark) // without it the question is put, and no more
	}
}

const mark = "holdbench starts"

// Over puts the environment back; call it first of all, as bubbletea is there by then.
func Over() {
	if os.Getenv(variable) == mark {
		_ = os.Unsetenv(variable)
	}
}
