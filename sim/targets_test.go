package sim

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// A value that was not checked stops the run with the reason; it is not dropped.
func TestTargetsPanicOnValuesThatWereNotChecked(t *testing.T) {
	t.Parallel()
	for _, target := range append(append(linkTargets(), operatorTargets()...), *targets().byName[proofLeft]) {
		require.Error(t, target.check("no such value"), target.Name)
		require.Regexp(t, "unchecked|not checked", panicOf(func() { target.set(&Bench{plant: new(plant.Plant)}, "no such value") }), target.Name)
	}
}

func panicOf(f func()) (what string) {
	defer func() { what = fmt.Sprint(recover()) }()
	f()
	return ""
}
