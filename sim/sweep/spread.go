package sweep

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"holdbench/plant"
	"holdbench/plant/portable"
	"holdbench/sequence"
	"holdbench/sim"
)

// These keys set other values than that of their name.
const (
	// CapacityKey is the true static capacity of the brake over the required test torque.
	CapacityKey = "capacity"
	// Capacity2Key is the same of a second brake.
	Capacity2Key = "capacity_2"
	// FrictionKey is the friction of the guide over that of the rig.
	FrictionKey = "friction"
)

// The values that CapacityKey and Capacity2Key set.
const (
	conditionKey  = "rig.brake.condition"
	condition2Key = "rig.brake_2.condition"
)

// Spread is the distribution of one value over the runs.
type Spread struct {
	Key  string // as a scenario's set has it, or one of the keys above
	Text string // the distribution as written

	number func(z float64) float64 // from a standard normal z; nil for a table
	table  []entry
}

// entry is one line of a table.
type entry struct {
	text   string
	upTo   float64 // share of all draws up to this entry
	number float64
	isText bool
}

// Shapes names the distributions with their arguments.
func Shapes() []string {
	return []string{"normal(MEAN, DEVIATION)", "normal(MEAN, DEVIATION, LOWEST, HIGHEST)", "uniform(LOWEST, HIGHEST)", "triangular(LOWEST, LIKELIEST, HIGHEST)", "table(VALUE: WEIGHT, ...)"}
}

// ParseSpread reads KEY=DISTRIBUTION for a case. Numbers are in the unit of the key, as
// durations such as 45ms, or in per cent of what the case has.
func ParseSpread(c *sim.Case, text string) (Spread, error) {
	key, rest, ok := strings.Cut(text, "=")
	key, rest = strings.TrimSpace(key), strings.TrimSpace(rest)
	if !ok {
		return Spread{}, fmt.Errorf("%q is no spread; must be KEY=DISTRIBUTION such as rig.load.mass_kg=normal(180, 5)", text)
	}
	if f, ok := plant.FindKey(key); ok {
		key = f.Key // a value that a scenario may name in two ways
	}
	base, err := baseValueOf(c, key)
	if err != nil {
		return Spread{}, err
	}
	name, inside, ok := strings.Cut(strings.TrimSuffix(rest, ")"), "(")
	if !ok || !strings.HasSuffix(rest, ")") {
		return Spread{}, fmt.Errorf("%s is %q; must be one of %s", key, rest, strings.Join(Shapes(), ", "))
	}
	s := Spread{Key: key, Text: rest}
	args := strings.Split(inside, ",")
	if name == "table" {
		s.table, err = parseTable(base, args)
	} else {
		s.number, err = parseShape(base, name, args)
	}
	if err != nil {
		return Spread{}, fmt.Errorf("%s=%s: %w", key, rest, err)
	}
	return s, nil
}

// baseValue is what a case has for a key.
type baseValue struct {
	number   float64
	numeric  bool
	duration bool // written with a unit of time
}

func baseValueOf(c *sim.Case, key string) (baseValue, error) {
	if key == Capacity2Key && !c.Rig.Brake2.Exists() {
		return baseValue{}, fmt.Errorf("rig %s has one brake, so that %s cannot vary; must be %s", c.Rig.Rig, key, CapacityKey)
	}
	if key == CapacityKey || key == Capacity2Key || key == FrictionKey {
		return baseValue{number: 1, numeric: true}, nil
	}
	if name, ok := strings.CutPrefix(key, "sequence."); ok {
		if p, ok := c.Sequence.Param(name); ok {
			return baseValue{number: p.Number, numeric: p.Kind == sequence.KindNumber}, nil
		}
	} else if f, ok := plant.FindKey(key); ok {
		x, numeric := f.Number(&c.Rig)
		return baseValue{number: x, numeric: numeric, duration: f.Unit == "s"}, nil
	}
	return baseValue{}, fmt.Errorf("%q cannot vary between runs; %s", key, sequence.Suggest(key, append(sim.Settings(c.Sequence), CapacityKey, Capacity2Key, FrictionKey)))
}

// numberIn reads one number.
func numberIn(b baseValue, text string) (float64, error) {
	text = strings.TrimSpace(text)
	if share, ok := strings.CutSuffix(text, "%"); ok {
		x, err := strconv.ParseFloat(strings.TrimSpace(share), 64)
		if err == nil && finite(x) {
			return x / 100 * b.number, nil
		}
	}
	if d, err := time.ParseDuration(text); b.duration {
		if err != nil {
			return 0, fmt.Errorf("%q is no duration; must be one such as 45ms, or a percentage such as 110%%", text)
		}
		return d.Seconds(), nil
	}
	if x, err := strconv.ParseFloat(text, 64); err == nil && finite(x) {
		return x, nil
	}
	return 0, fmt.Errorf("%q is no number; must be one such as 1.5, or a percentage such as 110%%", text)
}

// finite is whether a number is in the range that a rig can have.
func finite(x float64) bool { return math.Abs(x) <= 1e12 }

// parseShape reads a distribution of numbers. The result turns a standard normal number into
// one of the distribution, monotonically: F⁻¹(Φ(z)).
func parseShape(b baseValue, name string, args []string) (func(z float64) float64, error) {
	if !b.numeric {
		return nil, errors.New("the value is no number; must be a table of its words")
	}
	var x []float64
	for _, arg := range args {
		n, err := numberIn(b, arg)
		if err != nil {
			return nil, err
		}
		x = append(x, n)
	}
	switch {
	case name == "normal" && len(x) == 2:
		return normal(x[0], x[1])
	case name == "normal" && len(x) == 4:
		return truncatedNormal(x[0], x[1], x[2], x[3])
	case name == "uniform" && len(x) == 2:
		return uniform(x[0], x[1])
	case name == "triangular" && len(x) == 3:
		return triangular(x[0], x[1], x[2])
	}
	return nil, fmt.Errorf("there is no distribution %s with %d numbers; must be one of %s", name, len(x), strings.Join(Shapes(), ", "))
}

func normal(mean, deviation float64) (func(float64) float64, error) {
	if deviation <= 0 {
		return nil, fmt.Errorf("the deviation is %g; must be above 0", deviation)
	}
	return func(z float64) float64 { return mean + float64(deviation*z) }, nil
}

// truncatedNormal is a normal distribution between two limits.
func truncatedNormal(mean, deviation, low, high float64) (func(float64) float64, error) {
	if _, err := normal(mean, deviation); err != nil {
		return nil, err
	}
	share := func(x float64) float64 { return portable.NormalCDF((x - mean) / deviation) }
	from, to := share(low), share(high)
	if low >= high || to <= from {
		return nil, fmt.Errorf("the distribution has no share between %g and %g; the lowest must be below the highest, near the mean", low, high)
	}
	return func(z float64) float64 {
		inside := portable.NormalQuantile(from + float64((to-from)*portable.NormalCDF(z)))
		return min(max(mean+float64(deviation*inside), low), high)
	}, nil
}

func uniform(low, high float64) (func(float64) float64, error) {
	if low >= high {
		return nil, fmt.Errorf("the range is %g to %g; the lowest must be below the highest", low, high)
	}
	return func(z float64) float64 { return low + float64((high-low)*portable.NormalCDF(z)) }, nil
}

func triangular(low, likeliest, high float64) (func(float64) float64, error) {
	if low >= high || likeliest < low || likeliest > high {
		return nil, fmt.Errorf("the values are %g, %g and %g; must rise", low, likeliest, high)
	}
	return func(z float64) float64 {
		share := portable.NormalCDF(z)
		if share < (likeliest-low)/(high-low) {
			return low + math.Sqrt(share*(high-low)*(likeliest-low))
		}
		return high - math.Sqrt((1-share)*(high-low)*(high-likeliest))
	}, nil
}

// parseTable reads VALUE: WEIGHT pairs.
func parseTable(b baseValue, args []string) ([]entry, error) {
	var table []entry
	total := 0.0
	for _, arg := range args {
		at := strings.LastIndex(arg, ":")
		if at < 0 {
			return nil, fmt.Errorf("%q has no weight; must be VALUE: WEIGHT", strings.TrimSpace(arg))
		}
		weight, err := strconv.ParseFloat(strings.TrimSpace(arg[at+1:]), 64)
		if err != nil || !finite(weight) || weight <= 0 {
			return nil, fmt.Errorf("weight %q of %q; must be a number above 0", strings.TrimSpace(arg[at+1:]), strings.TrimSpace(arg[:at]))
		}
		total += weight
		e := entry{text: strings.TrimSpace(arg[:at]), upTo: total, isText: true}
		if x, err := numberIn(b, e.text); err == nil && b.numeric {
			e.number, e.isText = x, false
		}
		table = append(table, e)
	}
	for i := range table {
		table[i].upTo /= total
	}
	return table, nil
}

// at is the entry of a table for a standard normal number.
func (s *Spread) at(z float64) int {
	u := portable.NormalCDF(z)
	i := slices.IndexFunc(s.table, func(e entry) bool { return u < e.upTo })
	if i < 0 {
		return len(s.table) - 1
	}
	return i
}

// upper is whether a draw lies in the upper half of its spread; of a table, whether it is
// not the first entry.
func (s *Spread) upper(z float64) bool {
	if s.table != nil {
		return s.at(z) > 0
	}
	return z > 0
}
