package command

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/sim"
)

// Every class has a meaning.
func TestClassesAreExplained(t *testing.T) {
	for _, c := range sim.Classes() {
		assert.NotEqual(t, string(c), ClassMeaning(&sim.Result{Class: c}))
	}
}
