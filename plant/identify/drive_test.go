package identify

import (
	"time"

	"holdbench/plant"
	"holdbench/plant/recording"
)

// phase is one part of the manoeuvres of an identification.
type phase struct {
	time    time.Duration
	command plant.Command
	kind    Kind // what the piece is that it mainly makes
}

// screwAxis is an invented vertical screw axis.
func screwAxis() plant.Rig {
	r := plant.Defaults()
	r.Rig = "screw"
	r.Load.MassKG, r.Load.StartMM = 180, 200
	r.Transmission.FeedConstantMMPerTurn = 10
	r.Stops.LowMM, r.Stops.HighMM = 0, 1200
	r.Guide.SlidingNM, r.Guide.BreakawayNM, r.Guide.ViscousNMS = 0.08, 0.12, 0.0002
	r.Motor.InertiaKGM2, r.Motor.TorqueConstant = 0.0012, 1.1
	r.Drive.CurrentLimitRMSA, r.Drive.PeakCurrentRMSA = 8.5, 10
	r.Drive.CurrentNoiseRMSA, r.Drive.SpeedMMS, r.Drive.AccelerationMMS2 = 0.005, 150, 600
	r.Brake.StaticNM, r.Brake.SlidingNM = 9, 7.5
	r.Brake.ResponseDelay, r.Brake.RiseTime = 25*time.Millisecond, 20*time.Millisecond
	r.Brake.ReleaseTime, r.Brake.ReleaseDelay = 35*time.Millisecond, 20*time.Millisecond
	r.Brake.PlayDeg = 0.1
	r.Encoder.NoiseDeg = 0.005
	return r
}

// manoeuvres are all that an identification asks for, within the limits of a rig.
func manoeuvres(r *plant.Rig) []phase {
	d := plant.Derive(r)
	fast, start := r.Drive.SpeedMMS, r.Load.StartMM
	travel := min(fast*1.5, 0.8*(r.Stops.HighMM-start))
	move := func(to, speed float64, kind Kind) []phase {
		t := time.Duration((travel/speed + speed/r.Drive.AccelerationMMS2 + 0.3) * float64(time.Second)).Round(10 * time.Millisecond)
		return []phase{{t, plant.Command{Mode: plant.Move, TargetMM: to, SpeedMMS: speed}, kind}}
	}
	up := start + travel
	hold := plant.Command{Mode: plant.Hold}
	closed := plant.Command{Mode: plant.Hold, CloseBrake: true}
	press := func(torque float64) plant.Command {
		return plant.Command{Mode: plant.Press, PressTorqueNM: torque, PressRateNMS: d.RequiredTestNM * 3, CloseBrake: true}
	}
	list := []phase{{500 * time.Millisecond, hold, StandstillOpen}}
	for _, speed := range []float64{fast, fast / 3} {
		list = append(list, move(up, speed, TravelUp)...)
		list = append(list, move(start, speed, TravelDown)...)
	}
	list = append(
		list,
		phase{300 * time.Millisecond, hold, StandstillOpen}, phase{500 * time.Millisecond, closed, Closing},
		phase{1200 * time.Millisecond, press(d.PressDownNM), PressDown}, phase{1500 * time.Millisecond, press(d.PressUpNM), PressUp},
		phase{1200 * time.Millisecond, press(d.StartLoadTorqueNM), StandstillClosed},
		phase{300 * time.Millisecond, hold, Opening},
	)
	for _, to := range []float64{up, start} {
		list = append(list, phase{700 * time.Millisecond, plant.Command{Mode: plant.Move, TargetMM: to, SpeedMMS: fast}, Acceleration})
		list = append(list, phase{500 * time.Millisecond, plant.Command{Mode: plant.Off, CloseBrake: true}, StopByBrake})
		list = append(list, phase{200 * time.Millisecond, closed, StandstillClosed}, phase{300 * time.Millisecond, hold, Opening})
	}
	return list
}

// recorded runs phases on the plant and records them at the functional scan.
func recorded(r *plant.Rig, seed uint64, phases []phase) *recording.Recording {
	p := plant.New(*r, seed)
	rec := &recording.Recording{Source: r.Rig + ".csv"}
	names := []string{"position_mm", "current_rms_a", "brake", "brake_closed", "current_command_rms_a"}
	values := make([][]float64, len(names))
	every := int(r.Clock.FunctionalScan / r.Clock.Tick)
	n := 0
	for _, ph := range phases {
		for range int(ph.time / r.Clock.Tick) {
			p.Observe()
			if n%every == 0 {
				reading := p.Read()
				rec.Time = append(rec.Time, float64(n)*r.Clock.Tick.Seconds())
				row := []float64{reading.PositionMM, reading.CurrentRMSA, flag(ph.command.CloseBrake), flag(reading.BrakeClosed), p.DemandNM() / r.Motor.TorqueConstant}
				for i, x := range row {
					values[i] = append(values[i], x)
				}
			}
			p.StepBy(&ph.command)
			n++
		}
	}
	for i, name := range names {
		rec.Channels = append(rec.Channels, recording.Channel{Signal: name, Values: values[i]})
	}
	return rec
}

func flag(on bool) float64 {
	if on {
		return 1
	}
	return 0
}
