package export_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/sequence"
)

// This file makes the images that charts are run on.

// step is a scan, and how a controller begins before it.
type step struct {
	image sequence.Inputs
	begin string // "" for one that goes on
}

// How a controller begins.
const (
	inOperation = "operation"
	withPower   = "power"
)

// taped is a functional side that remembers the images that its run reads.
type taped struct {
	sequence.Logic
	steps []step
}

func (l *taped) New(scan time.Duration) sequence.Controller {
	return &tapedRun{Controller: l.Logic.New(scan), into: l}
}

type tapedRun struct {
	sequence.Controller
	into  *taped
	begin string
}

func (r *tapedRun) Scan(in *sequence.Inputs, out *sequence.Outputs) (sequence.Fired, error) {
	r.into.steps = append(r.into.steps, step{*in, r.begin})
	r.begin = ""
	return r.Controller.Scan(in, out)
}

func (r *tapedRun) PowerUp() {
	r.begin = withPower
	r.Controller.PowerUp()
}

func (r *tapedRun) Copy() (sequence.Controller, bool) { return nil, false }

// explored are random images: of some that are drawn for a scan, the one that brings a machine into the
// state that it has been in least often, so that it gets about. Scans are left out, and power is lost.
func explored(t *testing.T, p *sequence.Program, n int, seed uint64) []step {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 16))
	numbers := []float64{0}
	for _, v := range p.About().Params {
		if v.Kind == sequence.KindNumber {
			numbers = append(numbers, v.Number, -v.Number)
		}
	}
	at := step{image: sequence.Inputs{DriveReady: true, DriveOn: true, GuardClosed: true, Tested: "none", StopCause: "none"}}
	m := sequence.NewMachine(p, scan)
	var list []step
	visits := map[string]int{}
	for range n {
		var best step
		var went *sequence.Machine
		for range 40 {
			next := drawn(at, numbers, rng)
			run, image, out := m.Clone(), next.image, sequence.Outputs{}
			begin(&run, next.begin, scan)
			_, err := run.Scan(&image, &out)
			require.NoError(t, err)
			if went == nil || visits[run.State()] < visits[went.State()] {
				best, went = next, run
			}
		}
		at, m = best, went
		visits[m.State()]++
		list = append(list, at)
	}
	return list
}

// begin lets a machine begin anew.
func begin(m **sequence.Machine, how string, scan time.Duration) {
	switch how {
	case inOperation:
		*m = sequence.NewMachine((*m).Program(), scan)
	case withPower:
		(*m).PowerUp()
	}
}

// drawn is a scan after another one.
func drawn(after step, numbers []float64, rng *rand.Rand) step {
	next := step{image: after.image}
	if rng.IntN(100) == 0 {
		next.begin = []string{inOperation, withPower}[rng.IntN(2)]
	}
	next.image.Clock += scan * time.Duration([]int{1, 1, 1 + rng.IntN(20), 1 + rng.IntN(3000)}[rng.IntN(4)])
	for range []int{0, 1, 2, 6}[rng.IntN(4)] {
		change(&next.image, numbers, rng)
	}
	return next
}

// disturbed are recorded images in which one input at a time is another for a few scans, and some scans
// are left out.
func disturbed(list []step, seed uint64) []step {
	rng := rand.New(rand.NewPCG(seed, 17))
	made := make([]step, 0, len(list))
	quiet, left, draw := true, 0, uint64(0)
	for _, s := range list {
		if left--; left < 0 {
			quiet, left, draw = !quiet, 1+rng.IntN(200), rng.Uint64()
			if !quiet {
				left = rng.IntN(3)
			}
		}
		if !quiet {
			change(&s.image, []float64{0, 1, 100}, rand.New(rand.NewPCG(draw, 1)))
		}
		if rng.IntN(30) > 0 || s.begin != "" {
			made = append(made, s)
		}
	}
	return made
}

// change gives one input another value, a number one of some, or one near its own.
func change(in *sequence.Inputs, numbers []float64, rng *rand.Rand) {
	all := sequence.InputSignals()
	s := all[rng.IntN(len(all))]
	switch {
	case s.Kind == sequence.KindNumber && rng.IntN(2) == 0:
		s.SetInputNumber(in, numbers[rng.IntN(len(numbers))])
	case s.Kind == sequence.KindNumber:
		s.SetInputNumber(in, s.InputNumber(in)+(rng.Float64()-0.5)*[]float64{0.01, 1, 100}[rng.IntN(3)])
	case s.Kind == sequence.KindBoolean:
		s.SetInputNumber(in, 1-s.InputNumber(in))
	default:
		s.SetInputNumber(in, float64(rng.IntN(len(s.Words))))
	}
}
