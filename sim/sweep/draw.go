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
	"holdbench/plant/problem"
	"holdbench/sim"
)

// source is the generator of one spread in one run: it belongs to seed, run and key alone,
// so that one more spread does not shift what the others draw.
func source(seed uint64, run int, key string) *rand.Rand {
	var numbers [16]byte
	binary.LittleEndian.PutUint64(numbers[:8], seed)
	binary.LittleEndian.PutUint64(numbers[8:], uint64(run))
	return rand.New(rand.NewChaCha8(sha256.Sum256(append(numbers[:], key...))))
}

// draw is what one run has that others have not.
type draw struct {
	sensors uint64    // seed of the sensors' noise
	z       []float64 // one a spread: how far out in it, as a standard normal number
	weight  float64   // of the run, 1 unless rare events are sought
}

func (p *Plan) draw(run int) draw {
	const exact = 1 << 53 // what a JSON number holds
	d := draw{sensors: source(p.Seed, run, "sensors").Uint64N(exact-1) + 1, z: make([]float64, len(p.Spreads)), weight: 1}
	for i := range p.Spreads {
		d.z[i] = source(p.Seed, run, p.Spreads[i].Key).NormFloat64()
	}
	if len(p.tilt) > 0 {
		d.weight = tilted(p.tilt, d.z, source(p.Seed, run, "tilt").Float64() < untilted)
	}
	return d
}

// InvalidError is a draw that no rig can be.
type InvalidError struct {
	Run   int      // its number, as in a record
	Drawn []string // KEY=VALUE
	Found string
}

func (e *InvalidError) Error() string {
	return fmt.Sprintf("run %d drew %s, and that is no rig: %s; must be a spread within that, such as normal(MEAN, DEVIATION, LOWEST, HIGHEST)",
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
	bare.Scenario.Expect = sim.Expect{} // nobody asks
	c, err := bare.Varied(rig, d.sensors, typed)
	if err != nil {
		return nil, nil, &InvalidError{Run: number, Drawn: drawn, Found: problem.Of(err)[0].Message}
	}
	return c, p.settings(&rig, typed), nil
}

// order puts what depends on the rest last: the capacity is one over the load that was drawn.
func (p *Plan) order() []int {
	var first, last []int
	for i, s := range p.Spreads {
		if s.Key == CapacityKey {
			last = append(last, i)
		} else {
			first = append(first, i)
		}
	}
	return append(first, last...)
}

// set puts what was drawn into a rig and says what it is.
func (s *Spread) set(r *plant.Rig, z float64) (string, error) {
	x, text, isText := s.value(z)
	x = shorter(x)
	switch f, ok := plant.FindKey(s.Key); {
	case s.Key == CapacityKey:
		text, err := shorten(x), setCapacity(r, x)
		return text, err
	case s.Key == FrictionKey:
		return shorten(x), setFriction(r, x)
	case !ok && isText: // a parameter of the sequence
		return text, nil
	case !ok:
		return shorten(x), nil
	case isText:
		return text, f.Set(r, text)
	default:
		if err := f.SetNumber(r, x); err != nil {
			return shorten(x), err
		}
		return f.Text(r), nil
	}
}

// value is the number or the word that belongs to a draw.
func (s *Spread) value(z float64) (x float64, text string, isText bool) {
	if s.table == nil {
		return s.number(z), "", false
	}
	e := s.table[s.at(z)]
	return e.number, e.text, e.isText
}

func shorten(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// shorter leaves six digits of a number: more would only make commands long.
func shorter(x float64) float64 {
	short, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64)
	if err != nil {
		return x
	}
	return short
}

// setCapacity gives the brake the condition with which it bears x times the required torque.
func setCapacity(r *plant.Rig, x float64) error {
	r.Brake.Condition = 1
	d := plant.Derive(r)
	condition, _ := plant.FindKey(conditionKey)
	if d.BrakeCapacityNM <= 0 {
		return errors.New("the brake bears nothing in any condition; must be a brake that closes")
	}
	if needs := x * d.RequiredTestNM / d.BrakeCapacityNM; needs > condition.Max {
		return fmt.Errorf("so much is %.0f %% of what the brake bears when new; must be at most %.0f %%", 100*needs, 100*condition.Max)
	}
	return condition.SetNumber(r, shorter(x*d.RequiredTestNM/d.BrakeCapacityNM))
}

// setFriction scales all friction of the guide.
func setFriction(r *plant.Rig, x float64) error {
	for _, key := range frictionKeys() {
		f, _ := plant.FindKey(key)
		now, _ := f.Number(r)
		if err := f.SetNumber(r, shorter(x*now)); err != nil {
			return err
		}
	}
	return nil
}

func frictionKeys() []string {
	return []string{"rig.guide.sliding_nm", "rig.guide.breakaway_nm", "rig.guide.viscous_nm_s"}
}

// Columns are the keys of a scenario's set that differ from run to run: a run with these values
// and its seed is the same run again.
func (p *Plan) Columns() []string {
	var keys []string
	for _, s := range p.Spreads {
		keys = append(keys, s.touches()...)
	}
	if len(p.Windows) > 0 {
		keys = append(keys, cellKeys()...)
	}
	return keys
}

// cellKeys are what a cell of a map sets.
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

// setCell puts window and dwell of a cell of the map into a rig. A longer dwell takes the
// deadline along.
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
