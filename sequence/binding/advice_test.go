package binding_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence/binding"
)

// What a scenario needs and a binding has not is named with the file, the key and the line.
func TestAdvice(t *testing.T) {
	t.Parallel()
	d := parsed(t, text(t, "press.yaml"))
	d.File = "hoist.yaml"
	l, _, err := binding.New(d, "press.st", []byte(text(t, "press.st")))
	require.NoError(t, err)
	assert.Equal(t, `if it is move, hoist.yaml names it under state.values: "PH_MOVE: travel"`, l.AdviseState("travel"))
	assert.Equal(t, `if it has one for this, hoist.yaml names it under state.values: "VALUE: settle"`, l.AdviseState("settle"))
	assert.Equal(t, `the nearest valid one is "limit_s"`, l.AdviseParam("limt_s"))
	assert.Equal(t, `the nearest valid one is "goal_mm"`, l.AdviseParam("goal"), "without its unit")
	assert.Equal(t, `if a variable of the program has it, write in hoist.yaml under params: "coupled: VARIABLE"; if none has, "coupled: {value: false}"`, l.AdviseParam("coupled"))
	assert.Equal(t, `if a variable of the program has it, write in hoist.yaml under params: "press_margin: VARIABLE"; if none has, "press_margin: {value: NUMBER}"`, l.AdviseParam("press_margin"))

	d.Params, d.Roles = nil, nil
	l, _, err = binding.New(d, "press.st", []byte(text(t, "press.st")))
	require.NoError(t, err)
	assert.Equal(t, `if it is the variable limit, write in hoist.yaml under params: "limit_s: limit"`, l.AdviseParam("limit_s"))
}

// A binding that leaves out the names of its states, and one of flags.
func TestAdviceForStates(t *testing.T) {
	t.Parallel()
	d := parsed(t, text(t, "press.yaml"))
	d.State.Values, d.State.Ends = nil, map[string]string{"ok": "pass"}
	l, _, err := binding.New(d, "press.st", []byte(text(t, "press.st")))
	require.NoError(t, err)
	assert.Equal(t, `if it is move, the binding names it under state.values: "PH_MOVE: travel"`, l.AdviseState("travel"))

	l, _, err = binding.New(parsed(t, strings.Replace(flagsDocument, "b: second", "b: asking", 1)), "p.st", []byte(flagsProgram))
	require.Error(t, err) // its end has another name
	require.Nil(t, l)
	l, _, err = binding.New(parsed(t, flagsDocument), "p.st", []byte(flagsProgram))
	require.NoError(t, err)
	assert.Equal(t, `if it has one for this, the binding names it under state.flags: "VALUE: travel"`, l.AdviseState("travel"))
}
