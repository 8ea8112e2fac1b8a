package plant

import "testing"

// A run of some seconds is tens of thousands of ticks, and a probe or a sweep is
// thousands of runs; the tick is what they cost. Both benchmarks count one tick:
// sensors sampled, command latched, shaft integrated.

func BenchmarkStepHolding(b *testing.B) {
	benchmarkTicks(b, New(paneRig(), 1), Command{Mode: Hold})
}

func BenchmarkStepPressing(b *testing.B) {
	p := New(paneRig(), 1)
	d := Derive(p.Rig())
	benchmarkTicks(b, p, Command{Mode: Press, PressTorqueNM: d.PressDownNM, PressRateNMS: 20, CloseBrake: true})
}

func benchmarkTicks(b *testing.B, p *Plant, c Command) {
	b.Helper()
	b.ReportAllocs()
	for b.Loop() {
		p.Sample()
		p.Step(c)
	}
}

// The shares of a tick: the shaft alone, on a closed brake and sliding in the guide, and
// the drive alone with the encoder that it reads.
func BenchmarkShaftAlone(b *testing.B) {
	for _, c := range []struct {
		name   string
		closed bool
	}{{"Closed", true}, {"Open", false}} {
		b.Run(c.name, func(b *testing.B) {
			p := New(paneRig(), 1)
			p.brake.command(&p.state.BrakeState, c.closed)
			motor := -p.state.LoadTorqueNM
			b.ReportAllocs()
			for b.Loop() {
				p.advance(motor)
			}
		})
	}
}

func BenchmarkDriveAlone(b *testing.B) {
	p := New(paneRig(), 1)
	hold := Command{Mode: Hold}
	b.ReportAllocs()
	for b.Loop() {
		p.Observe()
		p.drive.step(p, &hold)
	}
}
