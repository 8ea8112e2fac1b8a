package sequence

import (
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Vet reports on any document, and only at paths that exist.
func TestAnyDocument(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := drawDocument(t)
		places := map[string]bool{}
		for _, path := range d.paths() {
			places[path] = true
		}
		for _, f := range vetted(d, nil) {
			require.True(t, places[f.Path], f.Path)
			require.NotEmpty(t, f.Message)
		}
	})
}

// What compiles also runs, and what is written reads back the same.
func TestAnyProgram(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := drawSound(t)
		p, err := Compile(d, nil)
		require.NoError(t, err)
		runAtRandom(t, p)
		written, err := yaml.Marshal(d)
		require.NoError(t, err)
		var again Document
		require.NoError(t, yaml.Unmarshal(written, &again), string(written))
		require.Equal(t, vetted(d, nil), vetted(again, nil))
	})
}

// drawSound draws random transitions among valid states.
func drawSound(t *rapid.T) Document {
	pick := func(words ...string) Text { return Text(rapid.SampledFrom(words).Draw(t, "field")) }
	draw := func() (list []Transition) {
		for range rapid.IntRange(1, 3).Draw(t, "count") {
			edge := Transition{To: string(pick("a", "b", "c", "z")), Times: pick("", "", "2", "x"), Cause: pick("", "slow", "judge_cause")}
			edge.After = pick("", "6ms", "y_s")
			if edge.When = pick("", "trigger", "not trigger", "position_mm > z_mm", "proof and trigger", "flag", "NOT trigger AND position_mm = z_mm"); edge.When != "" {
				edge.For = pick("", "", "4ms", "y_s")
			}
			list = append(list, edge)
		}
		return list
	}
	d := Document{Sequence: "s", Start: "a", AfterPowerLoss: string(pick("", "a", "b", "c")), Ends: Ends{{"z", "stop"}}}
	d.Params = Params{{Name: "x", Value: "3"}, {Name: "y_s", Value: "0.004"}, {Name: "z_mm", Value: "x * w_mm"}, {Name: "w_mm", Value: "0.5"}, {Name: "flag", Value: "not false"}}
	for _, name := range []string{"a", "b", "c"} {
		keep := Keeps{{"k_mm", pick("z_mm", "position_mm", "k_mm + 1")}, {"met", pick("trigger", "met", "k_mm > 1")}}
		keep = keep[:rapid.IntRange(0, 2).Draw(t, "kept")]
		d.States = append(d.States, State{Name: name, Keep: keep, Go: draw(), Set: Settings{{"target_mm", pick("z_mm", "position_mm", "1")}}})
	}
	d.States = append(d.States, State{Name: "z"})
	if rapid.Bool().Draw(t, "any") {
		d.Any = draw()[:1]
		d.States[1].OptOut = []string{d.Any[0].To}
	}
	return d
}

func runAtRandom(t *rapid.T, p *Program) {
	m := NewMachine(p, scan)
	if rapid.Bool().Draw(t, "poweredUp") {
		m = NewMachineAt(p, scan, p.About().PowerUp)
	}
	var out Outputs
	for range 30 {
		in := drawInputs(t)
		_, err := m.Scan(&in, &out)
		require.NoError(t, err)
		for _, c := range m.Waiting() {
			if c.Text != "" {
				require.Equal(t, c.Met, together(t, c.Terms), c.Text)
			}
		}
	}
}

func drawDocument(t *rapid.T) Document {
	some := func(most int) int { return rapid.IntRange(0, most).Draw(t, "count") }
	d := Document{Sequence: "s", Start: drawName(t)}
	if some(1) == 0 {
		d.AfterPowerLoss = drawName(t)
	}
	for range some(3) {
		name := rapid.SampledFrom([]string{"x", "y_s", "z_mm", "flag"}).Draw(t, "parameter")
		d.Params = append(d.Params, Param{Name: name, Value: drawText(t)})
	}
	for range some(2) {
		d.Roles = append(d.Roles, Role{rapid.SampledFrom([]string{"test_torque", "coupled", "odd"}).Draw(t, "role"), drawText(t)})
	}
	for range 1 + some(3) {
		s := State{Name: drawName(t)}
		for range some(2) {
			s.Set = append(s.Set, Setting{rapid.SampledFrom([]string{"drive", "ask", "target_mm", "alarm", "nothing"}).Draw(t, "output"), drawText(t)})
		}
		for range some(2) {
			s.Keep = append(s.Keep, Keep{rapid.SampledFrom([]string{"k_mm", "k", "x", "speed", "ask", "Odd one"}).Draw(t, "kept"), drawText(t)})
		}
		for range some(3) {
			s.Go = append(s.Go, drawTransition(t))
		}
		if some(3) == 0 {
			s.OptOut = []string{drawName(t)}
		}
		d.States = append(d.States, s)
	}
	for range some(2) {
		d.Any = append(d.Any, drawTransition(t))
	}
	for range some(2) {
		d.Ends = append(d.Ends, End{drawName(t), Text(rapid.SampledFrom([]string{"pass", "fail", "stop", "none"}).Draw(t, "end"))})
	}
	return d
}

func drawTransition(t *rapid.T) Transition {
	pick := func(words ...string) Text { return Text(rapid.SampledFrom(words).Draw(t, "field")) }
	return Transition{
		To:    drawName(t),
		When:  pick("", "", "trigger", "not trigger", "position_mm > z_mm", "proof and trigger", "flag", "x > 1", "true"),
		For:   pick("", "", "", "4ms", "y_s", "-1s"),
		After: pick("", "", "", "6ms", "y_s", "z_mm"),
		Times: pick("", "", "", "0", "2", "x"),
		Cause: pick("", "", "slow", "judge_cause", "No"),
	}
}

func drawName(t *rapid.T) string {
	return rapid.SampledFrom([]string{"a", "b", "c", "a", "b", "odd one"}).Draw(t, "name")
}

func drawText(t *rapid.T) Text {
	return Text(rapid.SampledFrom([]string{"1", "0.5", "true", "move", "x", "y_s", "z_mm * 2", "flag", "position_mm", "k", "k_mm", "x / 0", "(", "not flag"}).Draw(t, "text"))
}
