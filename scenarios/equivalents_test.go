package scenarios

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
	"holdbench/sim/mutation"
)

func threeMutants() []mutation.Mutant {
	return []mutation.Mutant{{ID: "travel/settle: remove"}, {ID: "travel/settle: negate"}, {ID: "clamp: leave out brake"}}
}

func equivalentsFile(t *testing.T, text string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "own.yaml")
	require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	return file
}

// The arguments are read strictly, and each must be about a mutant that there is.
func TestEquivalentsThatAreWrong(t *testing.T) {
	t.Parallel()
	const head = "equivalents: mine\nmutants:\n"
	for name, c := range map[string]struct {
		text, message string
		line, column  int
	}{
		"another sequence": {"equivalents: reference\nmutants: []\n", `equivalents is "reference"; must be "mine", the name of the sequence that is checked`, 1, 14},
		"no such mutant": {
			head + "  - {mutant: 'travel/setle: remove', because: it has no effect}\n",
			`the sequence has no mutant "travel/setle: remove"; the nearest valid one is "travel/settle: remove"`, 3, 14,
		},
		"twice": {
			head + "  - {mutant: 'travel/settle: remove', because: a}\n  - {mutant: 'travel/settle: remove', because: b}\n",
			`mutant "travel/settle: remove" is listed twice; must be listed once`, 4, 14,
		},
		"no argument":  {head + "  - mutant: 'travel/settle: remove'\n", "because is missing; must say why no scenario can detect the mutant", 3, 5},
		"unknown key":  {head + "  - {mutant: 'travel/settle: remove', why: a}\n", `unknown key "why" in mutants[0]; must be mutant or because`, 3, 39},
		"no list":      {"equivalents: mine\nmutants: none\n", `mutants is "none"; must be a list`, 2, 10},
		"another list": {"equivalents: mine\nmutant: []\n", `unknown key "mutant"; the nearest valid one is "mutants"`, 2, 1},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := LoadEquivalents(equivalentsFile(t, c.text), "mine", threeMutants())
			var found problem.List
			require.ErrorAs(t, err, &found)
			require.Len(t, found, 1)
			require.Equal(t, c.message, found[0].Message)
			require.Equal(t, [2]int{c.line, c.column}, [2]int{found[0].Line, found[0].Column})
		})
	}
	_, err := LoadEquivalents("nowhere.yaml", "mine", nil)
	require.ErrorIs(t, err, os.ErrNotExist)
}

// An entry that is detected after all is pointed at.
func TestEquivalentsThatAreNoLongerTrue(t *testing.T) {
	t.Parallel()
	file := equivalentsFile(t, `equivalents: mine
mutants:
  - {mutant: 'travel/settle: negate', because: the same}
  - {mutant: 'clamp: leave out brake', because: it is closed already}
`)
	list := threeMutants()
	e, err := LoadEquivalents(file, "mine", list)
	require.NoError(t, err)
	require.Equal(t, []mutation.Argument{
		{Mutant: "travel/settle: negate", Because: "the same"}, {Mutant: "clamp: leave out brake", Because: "it is closed already"},
	}, e.Arguments)
	for _, c := range []struct {
		fate    mutation.Status
		message string
	}{
		{mutation.Detected, `no longer equivalent: mutant "clamp: leave out brake" is detected by healthy; remove the entry`},
		{mutation.Refused, `no longer equivalent: mutant "clamp: leave out brake" is rejected by vet and does not count; remove the entry`},
	} {
		var p problem.Problem
		require.ErrorAs(t, e.Stale(&mutation.Outcome{Mutant: &list[2], Status: c.fate, By: "healthy", Stale: true}), &p)
		require.Equal(t, c.message, p.Message)
		require.Equal(t, 4, p.Line)
	}
	require.NoError(t, e.Stale(&mutation.Outcome{Mutant: &list[1], Status: mutation.Equivalent}))
}

// The built-in equivalents name existing mutants.
func TestBuiltinEquivalents(t *testing.T) {
	t.Parallel()
	d, _, err := LoadSequence(referenceName)
	require.NoError(t, err)
	list, err := mutation.Mutants(*d)
	require.NoError(t, err)
	e, err := BuiltinEquivalents(d.Sequence, list)
	require.NoError(t, err)
	require.NotEmpty(t, e.Arguments)
	e, err = BuiltinEquivalents("hasty", nil)
	require.NoError(t, err)
	require.Empty(t, e.Arguments)
}
