package newcmd

import (
	"bytes"
	"context"
	"embed"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/template"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/plant"
	"holdbench/plant/sizing"
	"holdbench/scenarios"
	"holdbench/sim"
)

//go:embed templates
var templates embed.FS

// fill fills a template in.
func fill(name string, values any) ([]byte, error) {
	asked := func(path, comment string) (string, error) {
		v, ok := values.(rigText)
		if _, key, found := strings.Cut(path, "."); ok && found && v.Value[path] != "" {
			return row(key, v.Value[path], comment), nil
		}
		return "", fmt.Errorf("%s was not asked for", path)
	}
	t, err := template.New(name).Funcs(template.FuncMap{"row": row, "asked": asked}).ParseFS(templates, "templates/"+name)
	if err != nil {
		return nil, fmt.Errorf("template %s: %w", name, err)
	}
	var b bytes.Buffer
	if err := t.Execute(&b, values); err != nil {
		return nil, fmt.Errorf("template %s: %w", name, err)
	}
	return b.Bytes(), nil
}

// row is a line of a section: a key with its value, and a comment in its column.
func row(key, value, comment string) string {
	return fmt.Sprintf("  %-38s # %s", key+": "+value, comment)
}

// question is a value of a rig that is asked for. Its default can follow from the answers before it.
type question struct {
	path   string
	preset func(answers map[string]float64) string
}

func questions() []question {
	fixed := func(text string) func(map[string]float64) string {
		return func(map[string]float64) string { return text }
	}
	return []question{
		{"load.mass_kg", fixed("180")},
		{"transmission.feed_constant_mm_per_turn", fixed("10")},
		{"transmission.gear_ratio", fixed("1")},
		{"stops.high_mm", fixed("1200")},
		{"motor.inertia_kg_m2", fixed("0.0012")},
		{"motor.torque_constant_nm_per_rms_a", fixed("1.1")},
		// Three times the torque of the load, with some margin, for brake and drive: common practice for
		// such an axis. At a small load the friction of the guide counts, which the template has.
		{"brake.static_nm", func(v map[string]float64) string { return rounded(max(3.2*loadNM(v), 2.8*loadNM(v)+0.4)) }},
		{"drive.current_limit_rms_a", func(v map[string]float64) string {
			return rounded(max(3.3*loadNM(v), 2.8*loadNM(v)+0.6) / v["motor.torque_constant_nm_per_rms_a"])
		}},
		{"drive.speed_mm_s", fixed("150")},
		{"drive.acceleration_mm_s2", fixed("600")},
		{"brake.response_delay", fixed("25ms")},
		{"brake.rise_time", fixed("20ms")},
		{"brake.release_time", fixed("35ms")},
	}
}

// loadNM is the load torque at the motor shaft, m g p/(2π n), in N·m.
func loadNM(v map[string]float64) float64 {
	return v["load.mass_kg"] * plant.StandardGravity * metresPerRad(v)
}

// metresPerRad is the travel for a radian of the motor.
func metresPerRad(v map[string]float64) float64 {
	return v["transmission.feed_constant_mm_per_turn"] / 1000 / (2 * math.Pi) / v["transmission.gear_ratio"]
}

// rounded writes a number with two digits, never below it.
func rounded(x float64) string {
	if !(x > 0) || math.IsInf(x, 0) {
		return "0"
	}
	step := math.Pow10(int(math.Floor(math.Log10(x))) - 1)
	return strconv.FormatFloat(math.Ceil(x/step-1e-9)*step, 'g', 4, 64)
}

// answers asks for the values of a rig; those that are set are not asked for.
func answers(ctx context.Context, k *asker, set map[string]string) (map[string]string, map[string]float64, error) {
	texts, numbers := map[string]string{}, map[string]float64{}
	for _, q := range questions() {
		f, _ := plant.FindField(q.path)
		text, ok := set[q.path]
		if !ok {
			what := f.Note
			if f.Unit != "" && f.Kind == plant.KindNumber {
				what += ", in " + f.Unit
			}
			var err error
			if text, err = k.ask(ctx, what, q.preset(numbers), f.Check); err != nil {
				return nil, nil, err
			}
		}
		if err := f.Check(text); err != nil {
			return nil, nil, err
		}
		texts[q.path] = text
		r := plant.Defaults()
		f.MustSet(&r, text)
		numbers[q.path], _ = f.Number(&r)
	}
	return texts, numbers, nil
}

// rigText is what the template of a rig needs.
type rigText struct {
	Name            string
	Value           map[string]string
	StartMM         string
	Judge, Sequence []string // lines
}

// newRig writes a rig with the values of its sizing.
func newRig(ctx context.Context, k *asker, name string, set map[string]string) ([]byte, error) {
	texts, v, err := answers(ctx, k, set)
	if err != nil {
		return nil, err
	}
	high := v["stops.high_mm"]
	perRad := metresPerRad(v)
	inertia := v["motor.inertia_kg_m2"] + v["load.mass_kg"]*perRad*perRad
	own := []string{ // what size works out otherwise, it replaces
		"test_position_mm: " + figure(0.35*high),
		"support_position_mm: " + figure(high/60),
		"travel_torque_nm: " + figure(2*inertia*v["drive.acceleration_mm_s2"]/1000/perRad), // twice that of acceleration: common practice
	}
	figures := rigText{Name: name, Value: texts, StartMM: figure(high / 6), Judge: []string{"ceiling_nm: 1e6"}, Sequence: own}
	draft, err := fill("rig.yaml", figures)
	if err != nil {
		return nil, err
	}
	sized, err := sizedValues(draft)
	if err != nil {
		return nil, err
	}
	figures.Judge = nil
	for _, s := range sized {
		if key, ok := strings.CutPrefix(s.Key, "judge."); ok {
			figures.Judge = append(figures.Judge, key+": "+s.Value)
		} else if key, ok := strings.CutPrefix(s.Key, "sequence."); ok {
			own = slices.DeleteFunc(own, func(line string) bool { return strings.HasPrefix(line, key+":") })
			own = append(own, key+": "+s.Value)
		}
	}
	figures.Sequence = own
	text, err := fill("rig.yaml", figures)
	if err != nil {
		return nil, err
	}
	_, _, err = scenarios.ParseRig(name+".yaml", text)
	return text, err
}

func figure(x float64) string { return strconv.FormatFloat(x, 'g', 4, 64) }

// sizedValues sizes the test of a rig with the reference sequence.
func sizedValues(draft []byte) ([]sizing.Setting, error) {
	rig, _, err := scenarios.ParseRig("rig.yaml", draft)
	if err != nil {
		return nil, fmt.Errorf("these values make no rig: %w", err)
	}
	logic, _, err := scenarios.LoadLogic("reference", scenarios.Below)
	if err != nil {
		return nil, err
	}
	ready, _, err := sim.NewCaseOf(sim.Scenario{Scenario: "new", Title: "new"}, *rig, logic)
	if err != nil {
		return nil, fmt.Errorf("these values make no brake test: %w", err)
	}
	ready.Rig.Judge.CeilingNM = 0 // to be worked out
	params := command.SizingParams(ready.Sequence)
	result, err := sizing.Compute(&ready.Rig, params, sizing.DefaultAssumptions(&ready.Rig, params))
	if err != nil {
		return nil, err
	}
	if len(result.Crossed) > 0 {
		return nil, errors.New("with these values no brake test is possible: " + strings.Join(result.Crossed, "; "))
	}
	return result.Settings, nil
}
