package sim

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
)

func moment(state string, after time.Duration) *Moment { return &Moment{State: state, After: after} }

func TestPrepareChangesReportsAllAtOnce(t *testing.T) {
	at := time.Second
	s := &Scenario{Faults: []Fault{
		{Set: map[string]string{"brake.condition": "0.5"}},
		{When: moment("", 0), At: &at, Set: map[string]string{"brake.condition": "0.5"}},
		{At: &at},
		{When: moment("pres", 0), Set: map[string]string{"brake.condition": "0.5"}},
		{At: &at, Set: map[string]string{"brake.condision": "0.5", "brake.condition": "-1", "link.down": "maybe"}},
		{At: &at, Set: map[string]string{"clock.tick": "1ms"}},
	}}
	_, found := scheduleOf(s, []string{"ready", "press"}, 250*time.Microsecond)
	require.Equal(t, problem.List{
		{Path: "faults[0]", Message: "a fault needs either when or at; it has both or neither"},
		{Path: "faults[1]", Message: "a fault needs either when or at; it has both or neither"},
		{Path: "faults[2]", Message: "a fault must set something, or name one of the catalogue: fault: lining-worn=0.25"},
		{Path: "faults[3].when.state", Message: `there is no state "pres" in the sequence; the nearest valid one is "press"`},
		{Path: "faults[4].set.'brake.condision'", Message: `a fault cannot set "brake.condision"; the nearest valid one is "brake.condition"`},
		{Path: "faults[4].set.'brake.condition'", Message: `brake.condition is "-1"; must be between 0 and 2`},
		{Path: "faults[4].set.'link.down'", Message: `link.down is "maybe"; must be true or false`},
		{Path: "faults[5].set.'clock.tick'", Message: fmt.Sprintf(`a fault cannot set "clock.tick"; none of the %d valid names is similar`, len(targets().list))},
	}, found)
}

func TestTicksOfRoundsUp(t *testing.T) {
	tick := 250 * time.Microsecond
	for d, want := range map[time.Duration]int64{0: 0, 1: 1, 250 * time.Microsecond: 1, 251 * time.Microsecond: 2, time.Second: 4000} {
		require.Equal(t, want, ticksOf(d, tick), "%v", d)
	}
}

func TestPrepareScript(t *testing.T) {
	s := &Scenario{Script: []Action{
		{At: 2 * time.Second, Set: map[string]bool{"estop": true}},
		{At: time.Second, For: time.Second / 2, Set: map[string]bool{"trigger": true}},
	}}
	edges, found := scriptEdges(s, time.Millisecond)
	require.Empty(t, found)
	require.Equal(t, []buttonEdge{{1000, "trigger", true}, {1500, "trigger", false}, {2000, "estop", true}}, edges)
}

func TestPrepareScriptRefusesAnUnknownButton(t *testing.T) {
	_, found := scriptEdges(&Scenario{Script: []Action{{Set: map[string]bool{"tigger": true}}}}, time.Millisecond)
	require.Equal(t, problem.List{{Path: "script[0].set.'tigger'", Message: `the operator cannot set "tigger"; the nearest valid one is "trigger"`}}, found)
}

func TestEveryFaultTargetNamesARange(t *testing.T) {
	seen := map[string]bool{}
	for _, target := range Targets() {
		require.NotEmpty(t, target.Range, target.Name)
		require.NotEmpty(t, target.Note, target.Name)
		require.False(t, seen[target.Name], "%s stands twice", target.Name)
		seen[target.Name] = true
	}
}
