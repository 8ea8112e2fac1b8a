package recording

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const ofTest = 0.8 // torque constant, N·m for an ampere rms

// moved is a recording of an axis that swings: s = 100 mm · sin(2πt/4 s), 5 mm for a radian, with a torque of 2 N·m
// and what is proportional to the position. Its position has increments of 0.01 mm.
func moved() *Recording {
	r := &Recording{Source: "a.csv", Channels: []Channel{
		{Signal: "position_mm", Unit: "mm", Column: "pos"}, {Signal: "speed", Unit: "mm/s", Column: "v"}, {Signal: "speed_rad_s", Unit: "rad/s", Column: "n"},
		{Signal: "torque_nm", Unit: "N·m", Column: "trq"}, {Signal: "current_rms_a", Unit: "A", Column: "i"},
	}}
	for i := range 4001 {
		t := float64(i) * 1e-3
		w := math.Pi / 2
		position, speed := 100*math.Sin(w*t), 100*w*math.Cos(w*t)
		torque := 2 + position/100
		r.Time = append(r.Time, t)
		for c, x := range []float64{math.Round(position*100) / 100, speed, speed / 5, torque, torque / ofTest} {
			r.Channels[c].Values = append(r.Channels[c].Values, x)
		}
	}
	return r
}

func (r *Recording) scaled(signal string, factor float64) *Recording {
	for i, x := range r.Values(signal) {
		r.Values(signal)[i] = x * factor
	}
	return r
}

// What is right raises no doubt; a wrong unit, sign or column is named with the figure.
func TestDoubts(t *testing.T) {
	t.Parallel()
	known := Limits{LowMM: -120, HighMM: 120, MMPerRad: 5, TorqueConstant: ofTest}
	for _, c := range []struct {
		name   string
		change func(r *Recording)
		want   []string
	}{
		{"Right", func(*Recording) {}, nil},
		{"PositionInUm", func(r *Recording) { r.scaled("position_mm", 1000) }, []string{
			`a.csv: position_mm: moves over 2e+05 mm, and the travel of the axis is 240 mm; the column "pos" is likely in um, as with --units position_mm=um`,
			"speed: is 0.001 times the derivative of position_mm; the column may be in a unit a thousand times larger", "speed_rad_s: is 0.001 times",
		}},
		{"MillimetresReadAsMetres", func(r *Recording) {
			r.Channels[0].ReadAs = "m"
			r.scaled("position_mm", 1000).without("speed").without("speed_rad_s")
		}, []string{`a.csv: position_mm: moves over 2e+05 mm, and the travel of the axis is 240 mm; the column "pos" is likely in mm, as with --units position_mm=mm`}},
		{"MillimetresReadAsCentimetres", func(r *Recording) {
			r.Channels[0].ReadAs = "cm"
			r.scaled("position_mm", 10).without("speed").without("speed_rad_s")
		}, []string{`a.csv: position_mm: moves over 2000 mm, and the travel of the axis is 240 mm; the column "pos" is likely in mm, as with --units position_mm=mm`}},
		{"MillimetresOfAPressReadAsMetres", func(r *Recording) {
			r.Channels[0].ReadAs = "m"
			for i := range r.Time {
				r.Channels[0].Values[i] = 1000 * (90 + r.Channels[0].Values[i]/1000)
			}
			r.without("speed").without("speed_rad_s")
		}, []string{`a.csv: warning: position_mm: is from 8.99e+04 mm to 9.01e+04 mm, and the axis travels from -120 mm to 120 mm; the column "pos" is likely in mm, as with --units position_mm=mm, or the recorder counts from another zero`}},
		{"OtherZero", func(r *Recording) {
			for i := range r.Time {
				r.Channels[0].Values[i] += 500
			}
		}, []string{"position_mm: is from 400 mm to 600 mm, and the axis travels from -120 mm to 120 mm"}},
		{"SpeedInRPM", func(r *Recording) { r.scaled("speed_rad_s", 60/radPerRev) }, []string{"speed_rad_s: is 9.549 times the derivative of position_mm; the column may be in rpm"}},
		{"SpeedPerMinute", func(r *Recording) { r.scaled("speed", 60) }, []string{"speed: is 60 times the derivative of position_mm; the column may be a value a minute"}},
		{"SpeedTurnedRound", func(r *Recording) { r.scaled("speed", -1) }, []string{"speed: is -1 times the derivative of position_mm; the sign may be another, as with -"}},
		{"Swapped", func(r *Recording) {
			r.Channels[1].Values, r.Channels[4].Values = r.Channels[4].Values, r.Channels[1].Values
		}, []string{"speed: is not the derivative of position_mm", "current_rms_a: is not proportional to torque_nm"}},
		{"Amplitude", func(r *Recording) { r.scaled("current_rms_a", math.Sqrt2) }, []string{"current_rms_a: gives 0.5657 N·m for an ampere, and torque_nm is 0.8 by the torque constant; the column may be an amplitude"}},
		{"Milliampere", func(r *Recording) { r.scaled("current_rms_a", -1000) }, []string{"the sign may be another, as with -; the column may be in thousandths of the unit that was taken"}},
		{"Constant", func(r *Recording) { r.scaled("torque_nm", 0).scaled("current_rms_a", 0) }, []string{`current_rms_a: is 0 A in all of 4001 values; the column "i" may be another signal, or not connected`}},
		{"ConstantBesideOneThatMoves", func(r *Recording) { r.scaled("torque_nm", 0) }, nil},
		{"Gaps", func(r *Recording) {
			for i := 2000; i < len(r.Time); i++ {
				r.Time[i] += 0.5
			}
		}, []string{"t_s: the usual step is 0.001 s, and 1 is more than 10 times as long, the longest 0.501 s from 1.999 s on"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := moved()
			c.change(r)
			list := Doubts(r, known)
			require.Len(t, list, len(c.want), "%v", list)
			for i, want := range c.want {
				assert.Contains(t, list[i].Error(), want)
			}
		})
	}
	assert.Empty(t, Doubts(moved().scaled("speed_rad_s", 9), Limits{}), "what is not known of the axis is not checked")
}

// Of an axis at rest neither wind-up nor noise is compared with the speed.
func TestNoDoubtsOfTheSpeedAtRest(t *testing.T) {
	t.Parallel()
	r := moved()
	for i := range r.Time {
		wound := math.Sin(float64(i) / 300)
		r.Channels[0].Values[i] = 100 + math.Round(wound*0.05*100)/100 // 0.01 of a turn at most
		r.Channels[1].Values[i] = 0.3 * math.Cos(float64(i)*1.7)
		r.Channels[2].Values[i] = 0.1 * math.Sin(float64(i)*2.3)
	}
	assert.Empty(t, Doubts(r, Limits{LowMM: -120, HighMM: 120, MMPerRad: 5, TorqueConstant: ofTest}))
}

// The increment is the least step, if every step is a number of it.
func TestQuantum(t *testing.T) {
	t.Parallel()
	r := moved()
	assert.InDelta(t, 0.01, r.Channels[0].Quantum(), 1e-9)
	assert.Zero(t, r.Channels[1].Quantum())
	assert.InDelta(t, 1e-3, r.UsualStep(), 1e-12)
}

// The unit that was taken is that of the heading or of the option, and another one is said by it.
func TestUnitThatWasTaken(t *testing.T) {
	t.Parallel()
	var text strings.Builder
	text.WriteString("t_s,pos [m],iq [mA]\n")
	for i := range 50 {
		fmt.Fprintf(&text, "%d,%d,%d\n", i, 4*i, i%7)
	}
	columns, err := ParseColumns("position=pos,current_rms=iq")
	require.NoError(t, err)
	r, err := Read("b.csv", strings.NewReader(text.String()), Options{Columns: columns})
	require.NoError(t, err)
	assert.Equal(t, "m", r.Channel("position_mm").ReadAs)
	list := Doubts(r, Limits{LowMM: 0, HighMM: 200})
	require.Len(t, list, 1)
	assert.Contains(t, list[0].Error(), `the column "pos [m]" is likely in mm, as with --units position_mm=mm`)
	current := r.Channel("current_rms_a")
	assert.Equal(t, "likely in A, as with --units current_rms_a=A", current.Rescaled(950))
	assert.Equal(t, "likely an amplitude, which is √2 times the rms value, as with --columns 'current_amp_a=\"iq [mA]\"'", current.Rescaled(0.68))
	assert.Empty(t, current.Rescaled(0.3), "no unit")
}

// A recording that was read raises the same doubts as its values.
func TestDoubtsOfAFile(t *testing.T) {
	t.Parallel()
	var text strings.Builder
	text.WriteString("t_s,position_mm,current_rms_a,current_amp_a\n")
	for i := range 50 {
		fmt.Fprintf(&text, "%d,%d,%d,%d\n", i, i, i, i)
	}
	r, err := Read("b.csv", strings.NewReader(text.String()), Options{})
	require.NoError(t, err)
	list := Doubts(r, Limits{})
	require.Len(t, list, 1)
	assert.Contains(t, list[0].Error(), "b.csv: warning: current_amp_a: is 1 times current_rms_a, and an amplitude is 1.414 times an rms value")
}

// A contact of the brake follows its command. Where it is ahead, closing and opening, the two columns are swapped; a brake that
// closes by itself is ahead in one direction only, and one that a controller samples late at the same time.
func TestDoubtsOfSwappedSignalsOfTheBrake(t *testing.T) {
	t.Parallel()
	closedFrom := func(from, to float64) func(t float64) float64 {
		return func(t float64) float64 {
			if t >= from && t < to {
				return 1
			}
			return 0
		}
	}
	for _, c := range []struct {
		name              string
		command, feedback func(t float64) float64
		swapped           bool
	}{
		{"right", closedFrom(1, 2), closedFrom(1.05, 2.03), false},
		{"swapped", closedFrom(1.05, 2.03), closedFrom(1, 2), true},
		{"closes by itself", closedFrom(1.3, 2), closedFrom(1, 2.03), false},
		{"at once", closedFrom(1, 2), closedFrom(1, 2), false},
		{"never opens", closedFrom(1.05, 9), closedFrom(1, 9), false},
	} {
		r := &Recording{Source: "a.csv", Channels: []Channel{{Signal: "brake", Column: "#4"}, {Signal: "brake_closed", Column: "contact 1"}}}
		for i := range 1000 {
			at := float64(i) * 4e-3
			r.Time = append(r.Time, at)
			r.Channels[0].Values, r.Channels[1].Values = append(r.Channels[0].Values, c.command(at)), append(r.Channels[1].Values, c.feedback(at))
		}
		doubts := Doubts(r, Limits{})
		if !c.swapped {
			assert.Empty(t, doubts, c.name)
			continue
		}
		require.Len(t, doubts, 1, c.name)
		assert.False(t, doubts[0].Warning)
		assert.Equal(t, `a.csv: brake: the feedback brake_closed changes up to 0.052 s ahead of the command brake, closing and opening, and it can only follow; the columns "#4" and "contact 1" are likely swapped, as with --columns 'brake="contact 1",brake_closed=#4'`, doubts[0].Error())
	}
}

// A signal that was recorded late has times of its own, which make no step of the recorder.
func TestLateSignalsLeaveTheUnitOfTheTimeInDoubt(t *testing.T) {
	t.Parallel()
	var text strings.Builder
	text.WriteString("t_s;torque_nm;brake\n")
	for i := range 300 {
		fmt.Fprintf(&text, "%d;2;%d\n", 4*i, i/100%2)
	}
	known := Limits{BrakeTimeS: 0.1}
	for _, late := range [][]Late{nil, {{"torque", 0.004}}} {
		r, err := Read("a.csv", strings.NewReader(text.String()), Options{Late: late})
		require.NoError(t, err)
		assert.InDelta(t, 4, r.UsualStep(), 1e-9)
		doubts := Doubts(r, known)
		require.NotEmpty(t, doubts)
		assert.Contains(t, doubts.Error(), "the time is likely in ms, as with --units time=ms")
	}
}
