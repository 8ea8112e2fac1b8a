package recording

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// travelled is a recording of an axis with a load torque of 3 N·m, an inertia of 0.02 kg·m² and a friction of 0.1 N·m
// at the shaft, 2 mm for a radian: its open brake holds it, it travels up and down, and the brake carries it.
func travelled() *Recording {
	r := &Recording{Source: "a.csv", Channels: []Channel{
		{Signal: "position_mm", Unit: "mm", Column: "pos"}, {Signal: "current_rms_a", Unit: "A", Column: "iq [A]"},
		{Signal: "brake_closed", Column: "fb"}, {Signal: "brake", Column: "cmd", Words: []string{"open", "closed"}},
	}}
	position, speed := 200.0, 0.0 // mm, mm/s
	for i := range 6000 {
		t := float64(i) * 2e-3
		acceleration := 0.0 // mm/s²
		switch phase := math.Mod(t, 4); {
		case t >= 8 || phase < 1 || phase >= 3.5:
		case phase < 1.5:
			acceleration = 400
		case phase >= 3:
			acceleration = -400
		}
		if t >= 4 {
			acceleration = -acceleration
		}
		speed += acceleration * 2e-3
		position += speed * 2e-3
		torque := 3 + 0.02*acceleration/2
		if math.Abs(speed) > 1e-6 {
			torque += math.Copysign(0.1, speed)
		}
		command, feedback := 0.0, 0.0
		if t >= 9 {
			command = 1
		}
		if t >= 9.04 {
			torque, feedback = 0, 1
		}
		r.Time = append(r.Time, t)
		for c, x := range []float64{position, torque / ofTest, feedback, command} {
			r.Channels[c].Values = append(r.Channels[c].Values, x)
		}
	}
	return r
}

func (r *Recording) inverted(signal string) *Recording {
	for i, x := range r.Values(signal) {
		r.Values(signal)[i] = 1 - x
	}
	return r
}

func (r *Recording) without(signal string) *Recording {
	var kept []Channel
	for _, c := range r.Channels {
		if c.Signal != signal {
			kept = append(kept, c)
		}
	}
	r.Channels = kept
	return r
}

func (r *Recording) faster(factor float64) *Recording {
	for i := range r.Time {
		r.Time[i] /= factor
	}
	return r
}

// What contradicts the recording itself or the axis is refused, with the flag that mends it.
func TestDoubtsOfTheAxis(t *testing.T) {
	t.Parallel()
	known := Limits{LowMM: -800, HighMM: 800, MMPerRad: 2, TorqueConstant: ofTest, PeakCurrentRMSA: 12, SpeedMMS: 250, BrakeTimeS: 0.1, HoldLowNM: 3.2, HoldHighNM: 3.2}
	for _, c := range []struct {
		name   string
		change func(r *Recording) *Recording
		want   []string
	}{
		{"Right", func(r *Recording) *Recording { return r }, nil},
		{"FeedbackInverted", func(r *Recording) *Recording { return r.inverted("brake_closed") }, []string{`the column "fb" is likely inverted, as with --columns brake_closed=-fb`}},
		{"FeedbackInvertedAlone", func(r *Recording) *Recording { return r.inverted("brake_closed").without("brake") }, []string{`a.csv: brake_closed: the axis moves and carries its load where it is closed`}},
		{"CommandInverted", func(r *Recording) *Recording { return r.inverted("brake") }, []string{`contradict each other in 99.67 % of the samples; the column "cmd" is likely inverted, as with --columns brake=-cmd`}},
		{"BothInverted", func(r *Recording) *Recording { return r.inverted("brake").inverted("brake_closed") }, []string{"--columns brake_closed=-fb", "--columns brake=-cmd"}},
		{"FeedbackStuck", func(r *Recording) *Recording { return r.scaled("brake_closed", 0) }, nil},
		{"CurrentTurnedRound", func(r *Recording) *Recording { return r.scaled("current_rms_a", -1) }, []string{`holds the load at rest with -3 N·m, and the load torque of the axis is 3.2 N·m; the column "iq [A]" has likely the opposite sign, as with --columns 'current_rms_a=-"iq [A]"'`}},
		{"Milliampere", func(r *Recording) *Recording { return r.scaled("current_rms_a", 1000) }, []string{`is likely in mA, as with --units current_rms_a=mA`}},
		{"AmpereReadAsMilliampere", func(r *Recording) *Recording {
			r.Channel("current_rms_a").ReadAs = "mA"
			return r.scaled("current_rms_a", 1e-3)
		}, []string{`is likely in A, as with --units current_rms_a=A`}},
		{"ScaleTooLarge", func(r *Recording) *Recording { return r.scaled("current_rms_a", 3) }, []string{"warning: current_rms_a: holds the load at rest with 9 N·m, and the load torque of the axis is 3.2 N·m: it is 2.812 times that; the scale of the column"}},
		{"ScaleTooSmall", func(r *Recording) *Recording { return r.scaled("current_rms_a", 0.3) }, []string{"warning: current_rms_a: holds the load at rest with 0.9 N·m, and the load torque of the axis is 3.2 N·m: it is 0.2812 times that; the scale of the column"}},
		{"ScaleOfAThousandth", func(r *Recording) *Recording { return r.scaled("current_rms_a", 1e-3) }, []string{"or the load lies on a support"}},
		{"ScaleMuchTooLarge", func(r *Recording) *Recording { return r.scaled("current_rms_a", 10) }, []string{`is up to 88.75 A, and the peak current of the drive is 12 A; the column "iq [A]" is likely another signal`}},
		{"PositionTurnedRound", func(r *Recording) *Recording { return r.scaled("position_mm", -1) }, []string{`as with --columns position_mm=-pos`}},
		{"BothTurnedRound", func(r *Recording) *Recording { return r.scaled("position_mm", -1).scaled("current_rms_a", -1) }, []string{"current_rms_a=-", "position_mm=-pos"}},
		{"Amplitude", func(r *Recording) *Recording { return r.scaled("current_rms_a", 1.5) }, []string{"a.csv: warning: current_rms_a: holds the load at rest with 4.5 N·m"}},
		{"Swapped", func(r *Recording) *Recording {
			r.Channels[0].Values, r.Channels[1].Values = r.Channels[1].Values, r.Channels[0].Values
			return r
		}, []string{"and the peak current of the drive is 12 A; the column \"iq [A]\" is likely another signal"}},
		{"SecondsReadAsMilliseconds", func(r *Recording) *Recording { return r.faster(1000) }, []string{"t_s: the axis moves over 400 mm in 0.012 s, and its speed is 250 mm/s; the time is likely in s, as with --units time=s"}},
		{"MillisecondsReadAsSeconds", func(r *Recording) *Recording { return r.faster(1e-3) }, []string{"the time is likely in ms, as with --units time=ms"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			list := Doubts(c.change(travelled()), known)
			require.Len(t, list, len(c.want), "%v", list)
			for i, want := range c.want {
				assert.Contains(t, list[i].Error(), want)
				assert.Equal(t, slices.Contains([]string{"Amplitude", "ScaleTooLarge", "ScaleTooSmall", "ScaleOfAThousandth"}, c.name), list[i].Warning)
			}
		})
	}
}

// A brake that slips moves closed, and a load that lies on a support asks for no torque: neither is a wrong column.
func TestDoubtsOfAFailedBrake(t *testing.T) {
	t.Parallel()
	known := Limits{LowMM: -800, HighMM: 800, MMPerRad: 2, TorqueConstant: ofTest, PeakCurrentRMSA: 12, SpeedMMS: 250, BrakeTimeS: 0.1, HoldLowNM: 3.2, HoldHighNM: 3.2}
	slips, lies := travelled(), travelled()
	for i, t := range slips.Time {
		slips.Values("position_mm")[i] = 200 - 60*max(0, t-10)
		if math.Mod(t, 4) < 1 || math.Mod(t, 4) > 3.5 || t > 8 { // at rest
			lies.Values("current_rms_a")[i] *= 0.1
		}
	}
	assert.Empty(t, Doubts(slips, known))
	assert.Empty(t, Doubts(lies, known))
}

// The rest of a counterbalanced load is small, and a little more of it is many times as much: no contradiction.
func TestBalancedLoadIsNoWrongScale(t *testing.T) {
	t.Parallel()
	known := Limits{LowMM: -800, HighMM: 800, MMPerRad: 2, TorqueConstant: ofTest, PeakCurrentRMSA: 12, SpeedMMS: 250, BrakeTimeS: 0.1, HoldLowNM: 0.2, HoldHighNM: 0.2}
	list := Doubts(travelled(), known)
	require.Len(t, list, 1)
	assert.False(t, list[0].Warning)
	assert.Contains(t, list[0].Error(), "it is 15 times that")
	known.UnsureNM = 1.5
	assert.Empty(t, Doubts(travelled(), known))
}

// pressed is a recording of an axis that stands still and presses its closed brake, down and up: a spring of 100 N·m/rad
// with a backlash, by an encoder of 0.01 mm, on 2 mm for a radian.
func pressed() *Recording {
	r := &Recording{Source: "a.csv", Channels: []Channel{
		{Signal: "position_mm", Unit: "mm", Column: "pos"}, {Signal: "current_rms_a", Unit: "A", Column: "iq"}, {Signal: "brake_closed", Column: "fb"},
	}}
	for i := range 4000 {
		t := float64(i) * 2e-3
		torque, feedback := 3.0, 0.0
		if t >= 1 && t < 7 {
			feedback = 1
		}
		switch {
		case t >= 2 && t < 3.5:
			torque = max(-1, 3-8*(t-2))
		case t >= 4 && t < 5.5:
			torque = min(7, 3+8*(t-4))
		}
		angle := feedback * ((torque-3)/100 + math.Copysign(0.002, torque-3))
		r.Time = append(r.Time, t)
		for c, x := range []float64{420 + math.Round(2*angle*100)/100, torque / ofTest, feedback} {
			r.Channels[c].Values = append(r.Channels[c].Values, x)
		}
	}
	return r
}

// The wind-up of the closed brake shows a position or a torque with the wrong sign where the axis does not travel, on an
// arm as well; where neither does, a warning says so.
func TestDoubtsOfThePress(t *testing.T) {
	t.Parallel()
	lift := Limits{LowMM: -800, HighMM: 800, MMPerRad: 2, TorqueConstant: ofTest, PeakCurrentRMSA: 12, HoldLowNM: 3.2, HoldHighNM: 3.2, BrakeNMPerRad: 100}
	arm := lift
	arm.HoldLowNM, arm.HoldHighNM, arm.HoldVaries = -3, 3, true
	for _, c := range []struct {
		name   string
		limits Limits
		change func(r *Recording) *Recording
		want   string
	}{
		{"Right", lift, func(r *Recording) *Recording { return r }, ""},
		{"PositionTurnedRound", lift, func(r *Recording) *Recording { return r.scaled("position_mm", -1) }, `turns downwards where the closed brake is pressed upwards, and upwards where it is pressed downwards; the column "pos" has likely the opposite sign, as with --columns position_mm=-pos`},
		{"RightOnAnArm", arm, func(r *Recording) *Recording { return r }, ""},
		{"TurnedRoundOnAnArm", arm, func(r *Recording) *Recording { return r.scaled("position_mm", -1) }, `the column "pos" or "iq" has likely the opposite sign`},
		{"AnotherSpring", lift, func(r *Recording) *Recording { return r.scaled("position_mm", -40) }, "warning: position_mm: has a sign that could not be checked against that of current_rms_a"},
		{"StandsStill", lift, func(r *Recording) *Recording { return r.scaled("position_mm", 0) }, "warning: position_mm: has a sign that could not be checked"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := pressed()
			r.Channels[0].Values[0] += 0.01 // a position that is not constant
			list := Doubts(c.change(r), c.limits)
			for i := range list {
				t.Log(list[i].Error())
			}
			if c.want == "" {
				require.Empty(t, list)
				return
			}
			require.NotEmpty(t, list)
			assert.Contains(t, list[len(list)-1].Error(), c.want)
		})
	}
}
