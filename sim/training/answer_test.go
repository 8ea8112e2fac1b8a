package training_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim/training"
)

func answer(player string, seed uint64, truth, cause string, points int) training.Answer {
	return training.Answer{Player: player, Rig: "pane-hoist", Sequence: "reference", Level: training.One, Seed: seed, Truth: truth, Cause: cause, RightRemedy: "replace-brake", Remedy: "replace-brake", Points: points}
}

func aborted(player string, seed uint64, truth string) training.Answer {
	a := answer(player, seed, truth, "", 0)
	a.Remedy, a.Aborted, a.Looks = "", true, 2
	return a
}

// An aborted riddle names nothing and has no points.
func TestParseAbortedAnswer(t *testing.T) {
	good := aborted("Ada", 7, "lining-worn")
	line, err := json.Marshal(good)
	require.NoError(t, err)
	got, err := training.ParseAnswer(line)
	require.NoError(t, err)
	assert.Equal(t, good, got)
	for _, k := range []struct{ old, text, wants string }{
		{`"aborted":true`, `"aborted":false`, "has no cause; must be a name"},
		{`"cause":""`, `"cause":"link-down"`, `has the cause "link-down" although it was aborted; must be empty`},
		{`"points":0`, `"points":10`, "points is 10 although it was aborted; must be 0"},
	} {
		_, err := training.ParseAnswer([]byte(strings.Replace(string(line), k.old, k.text, 1)))
		assert.ErrorContains(t, err, k.wants)
	}
}

func TestParseAnswer(t *testing.T) {
	good := answer("Ada", 7, "lining-worn", "oil-on-lining", 4)
	line, err := json.Marshal(good)
	require.NoError(t, err)
	got, err := training.ParseAnswer(line)
	require.NoError(t, err)
	assert.Equal(t, good, got)
	for _, k := range []struct{ old, text, wants string }{
		{`"truth":"lining-worn"`, `"truth":""`, "has no truth; must be a name"},
		{`"level":"one"`, `"level":"hard"`, `level: there is no level "hard"`},
		{`"points":4`, `"points":11`, "points is 11; must be 0 to 10"},
		{`"looks":0`, `"looks":-1`, "looks is -1; must be 0 or more"},
		{`"seed":7`, `"seed":-7`, "is no result of a riddle"},
		{`"seed"`, `"sed"`, `unknown field "sed"`},
		{`}`, `}{}`, "has more than one result"},
		{`}`, ``, "is no result of a riddle: unexpected EOF"},
	} {
		_, err := training.ParseAnswer([]byte(strings.Replace(string(line), k.old, k.text, 1)))
		assert.ErrorContains(t, err, k.wants)
	}
}

// The cause that is found least often comes first; a second try of a player, who has seen the truth, does not count, and
// answers without a name all count.
func TestTally(t *testing.T) {
	list := []training.Answer{
		answer("Ada", 1, "lining-worn", "lining-worn", 10),
		answer("Ada", 2, "encoder-frozen", "link-down", 0),
		answer("Ada", 2, "encoder-frozen", "encoder-frozen", 10), // again
		answer("Ben", 1, "lining-worn", "oil-on-lining", 4),
		answer("Ben", 2, "encoder-frozen", "link-down", 2),
		answer("Ben", 3, "encoder-frozen", "brake-drags", 0),
		answer("", 1, "lining-worn", "lining-worn", 8),
		answer("", 1, "lining-worn", "lining-worn", 8),
		aborted("Cid", 2, "encoder-frozen"),
		answer("Cid", 2, "encoder-frozen", "encoder-frozen", 10), // with the truth known
	}
	list[0].Looks, list[3].Looks = 1, 5
	got := training.NewTally(list)
	assert.Equal(t, training.Tally{
		Players: 3, Answers: 8, Repeated: 2, Unnamed: 2, Aborted: 1, Points: 32.0 / 8,
		Faults: []training.FaultTally{
			{Fault: "encoder-frozen", Answers: 4, Remedies: 3, Aborted: 1, Points: 2.0 / 4, Looks: 0.5, TakenFor: []training.Confusion{{Cause: "link-down", Times: 2}, {Cause: "brake-drags", Times: 1}}},
			{Fault: "lining-worn", Answers: 4, Right: 3, Remedies: 4, Points: 7.5, Looks: 1.5, TakenFor: []training.Confusion{{Cause: "oil-on-lining", Times: 1}}},
		},
		ByPlayer: []training.PlayerTally{
			{Player: "Cid", Answers: 1, Aborted: 1, Repeated: 1, Looks: 2},
			{Player: "Ben", Answers: 3, Remedies: 3, Points: 2, Looks: 5.0 / 3},
			{Player: "Ada", Answers: 2, Right: 1, Remedies: 2, Repeated: 1, Points: 5, Looks: 0.5},
		},
	}, got)
	assert.Equal(t, training.Tally{}, training.NewTally(nil))
}
