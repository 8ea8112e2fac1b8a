package problem_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
)

// A problem is written as far as its place is known.
func TestProblemText(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		problem problem.Problem
		want    string
	}{
		{problem.Problem{Message: "it is wrong"}, "it is wrong"},
		{problem.At("load.mass_kg", "is %d", 3), "load.mass_kg: is 3"},
		{problem.At("load.mass_kg", "is %d", 3).AsWarning(), "load.mass_kg: warning: is 3"},
		{problem.Problem{Path: "$.any[0].when", Column: 4, Message: "it is wrong"}, "$.any[0].when column 4: it is wrong"},
		{problem.Problem{File: "a.yaml", Path: "load", Message: "it is wrong"}, "a.yaml: it is wrong"},
		{problem.Problem{File: "a.yaml", Line: 3, Column: 12, Message: "it is wrong"}, "a.yaml:3:12: it is wrong"},
		{
			problem.Problem{File: "a.yaml", Line: 3, Column: 1, Message: "look at it", Excerpt: "3 | x\n  | ^", Warning: true},
			"a.yaml:3:1: warning: look at it\n3 | x\n  | ^",
		},
	} {
		require.Equal(t, c.want, c.problem.Error())
	}
}

func TestListIsAnErrorOfItsProblems(t *testing.T) {
	t.Parallel()
	a, b := problem.Problem{File: "a", Message: "x"}, problem.Problem{File: "b", Line: 1, Column: 2, Message: "y"}
	err := fmt.Errorf("loading: %w", problem.List{a, b})
	require.EqualError(t, err, "loading: a: x\nb:1:2: y")
	require.ErrorIs(t, err, b)
	var first problem.Problem
	require.ErrorAs(t, err, &first)
	require.Equal(t, a, first)
	var list problem.List
	require.ErrorAs(t, err, &list)
	require.Equal(t, problem.List{a, b}, list)
	require.NoError(t, problem.List{}.OrNil())
}

// Warnings and errors are taken apart in their order; warnings alone are no error.
func TestListSplit(t *testing.T) {
	t.Parallel()
	var list problem.List
	list.Warn("a", "first")
	list.Add("b", "second")
	list.Warn("c", "third")
	list.Add("d", "fourth")
	warnings, err := list.Split()
	require.Equal(t, problem.List{list[0], list[2]}, warnings)
	require.Equal(t, error(problem.List{list[1], list[3]}), err)

	warnings, err = warnings.Split()
	require.Len(t, warnings, 2)
	require.NoError(t, err)
}
