package export_test

import (
	"strconv"
	"testing"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sequence"
	"holdbench/sequence/binding"
	"holdbench/sequence/export"
)

const scan = 2 * time.Millisecond

// drawSequence draws a sequence of a few states that reads, keeps, counts and waits.
func drawSequence(t *rapid.T) sequence.Document {
	pick := func(words ...string) string { return rapid.SampledFrom(words).Draw(t, "word") }
	text := func(words ...string) sequence.Text { return sequence.Text(pick(words...)) }
	names := []string{"ready", "case", "press_down", "a_state_with_a_name_that_is_longer_than_others", "passed", "stopped", "locked_out"}
	conditions := []string{
		"", "trigger", "previous(trigger) != trigger", "position_mm > goal_mm or not proof",
		"abs(position_mm - kept_mm) <= 0.5 * goal_mm and trigger", `tested == "both"`, `judge_cause != "moved"`,
		"in_state_s < 0.02", "(ready ? position_mm : kept_mm) > 1", "met or trigger == proof",
		"position_mm - (kept_mm - 1) > sign(speed) * goal_mm", "cos_deg(position_deg) < 0.5", "min(position_mm, kept_mm, 1.5) == kept_mm",
		`previous(tested) == "up"`, "not (trigger and (proof or met))",
	}
	edges := func(most int) (list []sequence.Transition) {
		for range rapid.IntRange(0, most).Draw(t, "edges") {
			e := sequence.Transition{
				To: pick(names...), When: text(conditions...), After: text("", "", "7ms", "wait_s"),
				Times: text("", "", "1", "often"), Cause: text("", "slipped", "no-answer", "judge_cause"),
			}
			if e.When != "" {
				e.For = text("", "", "3ms", "5ms", "wait_s")
			}
			list = append(list, e)
		}
		return list
	}
	d := sequence.Document{
		Sequence: "drawn", Note: "not (* a comment *) but drawn", Start: "ready", AfterPowerLoss: pick("", "case"),
		Params: sequence.Params{{Name: "goal_mm", Value: "1.25"}, {Name: "wait_s", Value: "0.006"}, {Name: "often", Value: "2"}, {Name: "ready", Value: "goal_mm > 1"}, {Name: "press_rate_nm_s", Value: "3"}},
		Any:    edges(3),
		Ends:   sequence.Ends{{State: "passed", Kind: "pass"}, {State: "stopped", Kind: "stop"}, {State: "locked_out", Kind: "fail"}},
	}
	for _, name := range names {
		s := sequence.State{Name: name, Note: pick("", "wait *) here"), Go: edges(4)}
		if rapid.Bool().Draw(t, "keeps") {
			s.Keep = sequence.Keeps{{Name: "kept_mm", Value: text("position_mm", "kept_mm + 0.125", "goal_mm")}, {Name: "met", Value: text("trigger", "not met", "kept_mm > 1")}}
		}
		s.Set = sequence.Settings{{Output: "press_torque_nm", Value: text("1", "press_rate_nm_s * 1", "-2.5")}}
		if s.Set[0].Value == "press_rate_nm_s * 1" {
			s.Set[0] = sequence.Setting{Output: "press_rate_nm_s", Value: "press_rate_nm_s"}
		}
		for _, o := range []struct {
			name  string
			words []string
		}{
			{"drive", []string{"off", "hold", "press"}},
			{"brake", []string{"open", "closed"}},
			{"brake_2", []string{"open", "closed"}},
			{"operation", []string{"allowed", "inhibited"}},
			{"ask", []string{"none", "up"}},
			{"alarm", []string{"", "it's 100 $", "brake"}},
		} {
			if name == "ready" && o.name != "brake_2" || rapid.Bool().Draw(t, "sets") {
				s.Set = append(s.Set, sequence.Setting{Output: o.name, Value: text(o.words...)})
			}
		}
		if len(s.Go) > 0 && len(d.Any) > 0 && rapid.Bool().Draw(t, "exempt") {
			s.OptOut = []string{d.Any[0].To}
		}
		d.States = append(d.States, s)
	}
	return d
}

// drawImage draws the image of a scan near the one before, which has the time of the scan.
func drawImage(t *rapid.T, in *sequence.Inputs) {
	switch rapid.IntRange(0, 7).Draw(t, "change") {
	case 0:
		in.Trigger = !in.Trigger
	case 1:
		in.Proof = !in.Proof
	case 2:
		in.PositionMM = float64(rapid.IntRange(-4, 12).Draw(t, "mm")) / 4
	case 3:
		in.Tested = rapid.SampledFrom(sequence.TestedWords()).Draw(t, "tested")
	case 4:
		in.JudgeCause = rapid.SampledFrom(sequence.JudgeCauses()).Draw(t, "cause")
	case 5:
		in.PositionDeg, in.Speed = float64(rapid.IntRange(0, 90).Draw(t, "deg")), float64(rapid.IntRange(-1, 1).Draw(t, "speed"))
	case 6:
		in.Clock += scan * time.Duration(rapid.IntRange(0, 2).Draw(t, "left out"))
	}
}

// Whatever the sequence is, the program does the same in every scan: states, outputs, what is kept and
// why a test failed, from the start of a run, after a loss of power and when scans are left out.
func TestAnySequenceAsAProgram(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := drawSequence(t)
		p, err := sequence.Compile(d, nil)
		if err != nil {
			t.Skip(err.Error())
		}
		integers := rapid.Bool().Draw(t, "integers")
		text, bound, err := export.StructuredText(p, "drawn.st", export.STOptions{Integers: integers})
		require.NoError(t, err)
		var b binding.Document
		require.NoError(t, yaml.UnmarshalWithOptions([]byte(bound), &b, yaml.Strict()), bound)
		logic, _, err := binding.New(b, "drawn.st", []byte(text))
		require.NoError(t, err, text)
		document, program := p.New(scan), logic.New(scan)
		image := sequence.Inputs{Tested: "none"}
		for n := range rapid.IntRange(10, 60).Draw(t, "scans") {
			if n == 30 {
				document.PowerUp()
				program.PowerUp()
			}
			image.Clock += scan
			drawImage(t, &image)
			a, b := image, image
			var want, got sequence.Outputs
			_, err := document.Scan(&a, &want)
			require.NoError(t, err)
			_, err = program.Scan(&b, &got)
			require.NoError(t, err, text)
			at := "scan " + strconv.Itoa(n)
			require.Equal(t, p.About().States[document.StateIndex()].Name, logic.About().States[program.StateIndex()].Name, "%s\n%s", at, text)
			if want.Brake2 == sequence.Brake2AsFirst && got.Brake2 != sequence.Brake2AsFirst {
				require.Equal(t, want.Brake2Command(), got.Brake2Command())
				got.Brake2 = want.Brake2
			}
			require.Equal(t, want, got, "%s\n%s", at, text)
			for _, s := range p.About().Kept {
				require.Equal(t, string(s.AppendInput(nil, &a)), string(s.AppendInput(nil, &b)), at)
			}
		}
	})
}
