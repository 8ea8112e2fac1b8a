package scenarios

import (
	"fmt"

	"holdbench/plant/problem"
	"holdbench/sequence/binding"
)

// DraftBinding writes a first binding for the file of a program, see [binding.Draft].
func DraftBinding(file, block string) (string, problem.List, error) {
	if !isProgram(file) {
		return "", nil, fmt.Errorf("%s is no program; must be a file in Structured Text, whose name ends in %s", file, programExt)
	}
	text, err := readBounded(file)
	if err != nil {
		return "", nil, unreadable("program", file, err)
	}
	return binding.Draft(file, text, block)
}
