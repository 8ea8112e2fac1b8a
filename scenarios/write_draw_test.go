package scenarios

import (
	"encoding/json"
	"math"
	"slices"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim"
)

// drawScenario is any scenario that a document can hold, whether it can run or not.
func drawScenario(t *rapid.T) sim.Scenario {
	return sim.Scenario{
		Scenario: drawText(t, "scenario") + "s", Title: "t" + drawText(t, "title"),
		Teaches: drawText(t, "teaches"), Remedy: drawText(t, "remedy"),
		Rig: drawReference(t, "rig"), Sequence: drawReference(t, "sequence"),
		Seed: rapid.Uint64().Draw(t, "seed"),
		Set:  orNone(drawSet(t, "set")),
		Script: drawList(t, "script", func() sim.Action {
			set := map[string]bool{}
			if rapid.Bool().Draw(t, "sets") {
				set[drawKey(t)] = rapid.Bool().Draw(t, "on")
			}
			return sim.Action{At: drawTime(t, "at"), For: drawTime(t, "for"), Set: set}
		}),
		Faults: drawList(t, "faults", func() sim.Fault {
			f := sim.Fault{When: drawMoment(t), At: drawTimeOrNone(t), For: drawTime(t, "for"), Fault: drawText(t, "fault")}
			if f.Fault == "" {
				f.Set = orNone(drawSet(t, "set"))
			}
			return f
		}),
		Expect: sim.Expect{
			End: drawText(t, "end"), Verdict: drawText(t, "verdict"), Operation: drawText(t, "operation"), Cause: drawCauses(t), Class: sim.Class(drawText(t, "class")),
			Within: drawTime(t, "within"), LoadDropMM: drawBounds(t), SlipDeg: drawBounds(t), PeakNM: drawBounds(t),
			Path: drawList(t, "path", func() string { return drawText(t, "state") }), Took: drawTook(t), Outputs: drawOutputs(t),
			Obligations: drawList(t, "obligations", func() sim.BrokenObligation {
				return sim.BrokenObligation{Broken: drawText(t, "broken"), Why: drawText(t, "why")}
			}),
		},
		Lesson: drawList(t, "lesson", func() sim.Stop {
			stop := sim.Stop{
				At: drawTimeOrNone(t), When: drawMoment(t), Say: drawText(t, "say"), Ask: drawText(t, "ask"),
				Choices: drawList(t, "choices", func() string { return drawText(t, "choice") }),
				Answer:  rapid.Int().Draw(t, "answer"), Because: drawText(t, "because"),
			}
			if rapid.Bool().Draw(t, "waits for an event") {
				stop.Event = &sim.EventMatch{Kind: drawText(t, "kind"), Says: drawText(t, "says")}
			}
			return stop
		}),
	}
}

// drawCauses is nothing or some causes, none of them empty.
func drawCauses(t *rapid.T) sim.Causes {
	return drawList(t, "causes", func() string { return "c" + drawText(t, "cause") })
}

// drawList is nothing or some items.
func drawList[T any](t *rapid.T, label string, one func() T) []T {
	var list []T
	for range rapid.IntRange(0, 2).Draw(t, label) {
		list = append(list, one())
	}
	return list
}

// drawText is any text that may be typed: prose of any length, signs with a meaning in YAML,
// several lines, any character at all.
func drawText(t *rapid.T, label string) string {
	return rapid.OneOf(
		rapid.String(),
		rapid.SampledFrom([]string{
			"", " ", "yes", "No", "on", "null", "~", "true", "FALSE", "0", "-0", "1.50", "1e3", "1e999", "017", "0x1F", ".inf", ".NaN", "<<", "=",
			"-", "- a", "---", "--- a", "...", "? a", ": a", "a:", "a: b", "a #b", "#a", "'a", "\"a", "\\", "a\\n", "[", "]", "{a: b}", "a, b", "%a", "@a", "`a", "&a", "*a", "!a", "!!str", "|", ">", "|-",
			"\n", "\n\n", "a\n", "a\n\n", "\na", "a\n\nb\n", " a\n  b", "a\n b", "a \nb", "a\n- b\n# c\n--- d\n", "a\tb", "a\r\nb", "\ufeff", "\u0085", "\u2028", "\ufffd", "2024-01-01", "12:30:45", "🙂 👩\u200d🔧",
			"start", "all", "key scenario: in a text\nscenario: at the margin",
		}),
		rapid.StringMatching(`([A-Za-z0-9.,:;#'"\-!?%&*()\[\]{}|>]{1,9}[ ]{1,2}){0,60}[a-z]{1,3}\n?`),
		rapid.StringMatching(`(([A-Za-z0-9.,:#\-'"|>]{1,9} ){0,25}[a-z]{1,3}\n{1,3}){1,3}`),
		rapid.StringMatching(`[ \n#:\-a'"\\,\[\]{}|>&*!%@?~]{0,12}`),
	).Draw(t, label)
}

func drawKey(t *rapid.T) string {
	return rapid.OneOf(
		rapid.StringMatching(`[a-z]{1,5}(\.[a-z_0-9]{1,8}){0,2}`),
		rapid.SampledFrom([]string{"true", "null", "5", "1.5", "<<", "a b", "a: b", "a, b", "'", "\"", "#", "- a", "\\", "é", "-", "?", ".", "\n", "---"}),
		rapid.StringN(1, 20, -1),
	).Draw(t, "key")
}

func drawSet(t *rapid.T, label string) map[string]string {
	set := map[string]string{}
	for range rapid.IntRange(0, 2).Draw(t, label) {
		set[drawKey(t)] = drawText(t, "value")
	}
	return set
}

// orNone is nil for a map without keys, which a document leaves out.
func orNone[V any](set map[string]V) map[string]V {
	if len(set) == 0 {
		return nil
	}
	return set
}

func drawTime(t *rapid.T, label string) time.Duration {
	unit := rapid.SampledFrom([]time.Duration{1, 250 * time.Microsecond, time.Millisecond, time.Second, 30 * time.Minute}).Draw(t, label+" unit")
	return unit * time.Duration(rapid.Int64Range(0, math.MaxInt64/int64(unit)).Draw(t, label))
}

func drawTimeOrNone(t *rapid.T) *time.Duration {
	if rapid.Bool().Draw(t, "no time") {
		return nil
	}
	d := drawTime(t, "time")
	return &d
}

func drawMoment(t *rapid.T) *sim.Moment {
	switch rapid.IntRange(0, 2).Draw(t, "moment") {
	case 0:
		return nil
	case 1:
		return &sim.Moment{}
	}
	return &sim.Moment{State: "s" + drawText(t, "state"), After: drawTime(t, "after")}
}

func drawBounds(t *rapid.T) *sim.Bounds {
	if rapid.Bool().Draw(t, "no bounds") {
		return nil
	}
	end := func() *float64 {
		x := rapid.Float64Range(-math.MaxFloat64, math.MaxFloat64).Draw(t, "bound")
		if rapid.Bool().Draw(t, "open") {
			return nil
		}
		return &x
	}
	return &sim.Bounds{AtLeast: end(), AtMost: end()}
}

func drawTook(t *rapid.T) map[string]sim.DurationBounds {
	took := map[string]sim.DurationBounds{}
	for range rapid.IntRange(0, 2).Draw(t, "took") {
		took[drawKey(t)] = sim.DurationBounds{AtLeast: drawTimeOrNone(t), AtMost: drawTimeOrNone(t)}
	}
	return orNone(took)
}

func drawOutputs(t *rapid.T) map[string]map[string]string {
	outputs := map[string]map[string]string{}
	for range rapid.IntRange(0, 2).Draw(t, "outputs") {
		if set := orNone(drawSet(t, "outputs of a state")); set != nil {
			outputs[drawKey(t)] = set
		}
	}
	return orNone(outputs)
}

// drawReference is a name or a document in place.
func drawReference(t *rapid.T, label string) sim.Reference {
	if rapid.Bool().Draw(t, label+" by name") {
		return sim.Reference{Name: drawText(t, label)}
	}
	var text string
	if rapid.IntRange(0, 3).Draw(t, "built in") == 0 { // the largest, and the slowest to read
		e := rapid.SampledFrom(slices.Concat(Builtin(RigKind), Builtin(SequenceKind))).Draw(t, "document")
		_, bytes, err := e.read()
		require.NoError(t, err)
		text = string(bytes)
	} else { // JSON is YAML
		bytes, err := json.Marshal(map[string]any{
			"k": drawSet(t, "keys"), "l": []any{drawText(t, "item"), true, 1.5, nil, []int{}},
			drawKey(t): drawText(t, "value"),
		})
		require.NoError(t, err)
		text = string(bytes)
	}
	if _, err := read(label, []byte(text)); err != nil {
		t.Skip("JSON with a character that our documents do not have")
	}
	return sim.Reference{Text: text}
}
