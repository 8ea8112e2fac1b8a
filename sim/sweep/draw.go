package sweep

import (
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"time"

	"holdbench/plant"
	"holdbench/plant/portable"
	"holdbench/plant/problem"
	"holdbench/sim"
)

// source is the generator of one spread in one run. It depends on seed, run and key alone, so
// that one more spread does not shift the draws of the others.
func source(seed uint64, run int, key string) *rand.Rand {
	var numbers [16]byte
	binary.LittleEndian.PutUint64(numbers[:8], seed)
	binary.LittleEndian.PutUint64(numbers[8:], uint64(run))
	return rand.New(rand.NewChaCha8(sha256.Sum256(append(numbers[:], key...))))
}

// draw is what is drawn for one run.
type draw struct {
	sensors uint64    // seed of the sensors' noise
	z       []float64 // for each spread a standard normal number
	weight  float64   // of the run, 1 unless rare events are estimated
}

func (p *Plan) draw(run int) draw {
	const exact = 1 << 53 // largest integers of a JSON number
	d := draw{sensors: source(p.Seed, run, "sensors").Uint64N(exact-1) + 1, z: make([]float64, len(p.Spreads)), weight: 1}
	for i := range p.Spreads {
		d.z[i] = portable.Normal(source(p.Seed, run, p.Spreads[i].Key))
	}
	if len(p.tilt) > 0 {
		d.weight = applyTilt(p.tilt, d.z, source(p.Seed, run, "tilt").Float64() < defensiveShare)
	}
	return d
}

// InvalidError is a draw that is no valid rig.
type InvalidError struct {
	Run   int      // its number, as in a record
	Drawn []string // KEY=VALUE
	Found string
}

func (e *InvalidError) Error() string {
	return fmt.Sprintf("run %d drew %s, which is no valid rig: %s; must be a spread within these limits, such as normal(MEAN, DEVIATION, LOWEST, HIGHEST)",
		e.Run, strings.Join(e.Drawn, ", "), e.Found)
}

// varied is the case of one run, and its settings.
func (p *Plan) varied(run, cell int, d *draw) (*sim.Case, []string, error) {
	rig := p.Case.Rig
	p.setCell(&rig, cell)
	number := run*p.cells() + cell
	typed := map[string]string{}
	var drawn []string
	for _, i := range p.order() {
		s := &p.Spreads[i]
		text, err := s.set(&rig, d.z[i])
		drawn = append(drawn, s.Key+"="+text)
		if err != nil {
			return nil, nil, &InvalidError{Run: number, Drawn: drawn, Found: err.Error()}
		}
		if strings.HasPrefix(s.Key, "sequence.") {
			typed[s.Key] = text
		}
	}
	bare := *p.Case
	bare.Scenario.Expect = sim.Expect{} // not used
	c, err := bare.Varied(rig, d.sensors, typed)
	if err != nil {
		return nil, nil, &InvalidError{Run: number, Drawn: drawn, Found: problem.Of(err)[0].Message}
	}
	return c, p.settings(&rig, typed), nil
}

// order puts the capacity last, because it is relative to the load that was drawn.
func (p *Plan) order() []int {
	var first, last []int
	for i, s := range p.Spreads {
		if s.Key == CapacityKey || s.Key == Capacity2Key {
			last = append(last, i)
		} else {
			first = append(first, i)
		}
	}
	return append(first, last...)
}

// set puts a draw into a rig and returns it as text.
func (s *Spread) set(r *plant.Rig, z float64) (string, error) {
	x, text, isText := s.value(z)
	x = sixDigits(x)
	switch f, ok := plant.FindKey(s.Key); {
	case s.Key == CapacityKey || s.Key == Capacity2Key:
		text, err := asText(x), setCapacity(r, s.Key, x)
		return text, err
	case s.Key == FrictionKey:
		return asText(x), setFriction(r, x)
	case !ok && isText: // a parameter of the sequence
		return text, nil
	case !ok:
		return asText(x), nil
	case isText:
		return text, f.Set(r, text)
	default:
		if err := f.SetNumber(r, x); err != nil {
			return asText(x), err
		}
		return f.Text(r), nil
	}
}

// value is the number or the word of a draw.
func (s *Spread) value(z float64) (x float64, text string, isText bool) {
	if s.table == nil {
		return s.number(z), "", false
	}
	e := s.table[s.at(z)]
	return e.number, e.text, e.isText
}

func asText(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// sixDigits rounds a number to six digits, so that commands stay short.
func sixDigits(x float64) float64 {
	short, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64)
	if err != nil {
		return x
	}
	return short
}

// brakeOf is the brake of a rig that a key of a capacity stands for, the field of its condition, and
// its capacity at the motor shaft.
func brakeOf(r *plant.Rig, key string) (b *plant.Brake, condition *plant.Field, capacity func(*plant.Derived) float64) {
	if key == Capacity2Key {
		condition, _ = plant.FindKey(condition2Key)
		return &r.Brake2.Brake, condition, func(d *plant.Derived) float64 { return d.Brake2CapacityNM }
	}
	condition, _ = plant.FindKey(conditionKey)
	return &r.Brake, condition, func(d *plant.Derived) float64 { return d.BrakeCapacityNM }
}

// setCapacity gives a brake the condition with which its capacity is x times the required torque.
func setCapacity(r *plant.Rig, key string, x float64) error {
	brake, condition, capacity := brakeOf(r, key)
	brake.Condition = 1
	d := plant.Derive(r)
	full := capacity(&d)
	if full <= 0 {
		return errors.New("the brake has no torque in any condition; must be a brake that closes")
	}
	if needs := x * d.RequiredTestNM / full; needs > condition.Max {
		return fmt.Errorf("this capacity is %.0f %% of that of a new brake; must be at most %.0f %%", 100*needs, 100*condition.Max)
	}
	return condition.SetNumber(r, sixDigits(x*d.RequiredTestNM/full))
}

// setFriction scales all friction of the guide.
func setFriction(r *plant.Rig, x float64) error {
	for _, key := range frictionKeys() {
		f, _ := plant.FindKey(key)
		now, _ := f.Number(r)
		if err := f.SetNumber(r, sixDigits(x*now)); err != nil {
			return err
		}
	}
	return nil
}

func frictionKeys() []string {
	return []string{"rig.guide.sliding_nm", "rig.guide.breakaway_nm", "rig.guide.viscous_nm_s"}
}

// Columns are the keys of a scenario's set that vary between runs: these values and the seed
// reproduce a run.
func (p *Plan) Columns() []string {
	var keys []string
	for _, s := range p.Spreads {
		keys = append(keys, s.keys()...)
	}
	if len(p.Windows) > 0 {
		keys = append(keys, cellKeys()...)
	}
	return keys
}

// cellKeys are the values that a cell of a map sets.
func cellKeys() []string { return []string{"judge.window_deg", "judge.dwell", "judge.deadline"} }

// settings are the values of the columns.
func (p *Plan) settings(r *plant.Rig, typed map[string]string) []string {
	var values []string
	for _, key := range p.Columns() {
		text, ok := typed[key]
		if f, found := plant.FindKey(key); !ok && found {
			text = f.Text(r)
		}
		values = append(values, text)
	}
	return values
}

// setCell puts window and dwell of a cell of the map into a rig. A longer dwell extends the
// deadline as well.
func (p *Plan) setCell(r *plant.Rig, cell int) {
	if len(p.Windows) == 0 {
		return
	}
	setCell(r, p.Windows[cell/len(p.Dwells)], p.Dwells[cell%len(p.Dwells)])
}

func setCell(r *plant.Rig, window float64, dwell time.Duration) {
	r.Judge.WindowDeg = window
	r.Judge.Deadline += max(0, dwell-r.Judge.Dwell)
	r.Judge.Dwell = dwell.Round(time.Microsecond)
}
