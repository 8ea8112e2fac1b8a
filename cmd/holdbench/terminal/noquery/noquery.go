// Package noquery keeps bubbletea from asking the terminal for its background colour.
//
// It asks while the program starts, for every command, and waits five seconds where a
// terminal does not answer. The bench draws in colours that are readable on both
// backgrounds, so the answer is of no use. The query is part of bubbletea's own
// initialisation and cannot be switched off, but it is left out where CI is set. Packages
// are initialised in the order of their import paths, each as soon as what it imports is
// (Go specification, "Program initialization"); this one imports os alone and comes first.
// A test of the built program holds that nothing is asked.
package noquery

import "os"

const variable = "CI"

func init() { //nolint:gochecknoinits // nothing else comes before bubbletea
	if os.Getenv(variable) == "" {
		_ = os.Setenv(variable, mark) // if it fails, the terminal is asked
	}
}

const mark = "holdbench starts"

// Over restores the environment. It is called at the start of main, when bubbletea is
// initialised.
func Over() {
	if os.Getenv(variable) == mark {
		_ = os.Unsetenv(variable)
	}
}
