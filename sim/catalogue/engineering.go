package catalogue

import (
	"math"
	"strconv"
	"strings"
	"time"

	"holdbench/plant"
)

// judgeFaults are wrong engineering data of the judge.
func judgeFaults() []Entry {
	judge := func(value func(*plant.Judge) float64) func(*plant.Rig, float64) string {
		return timesOf(func(r *plant.Rig) float64 { return value(&r.Judge) })
	}
	window := func(j *plant.Judge) float64 { return j.WindowDeg }
	dwell := timesPeriod(func(r *plant.Rig) time.Duration { return r.Judge.Dwell })
	return []Entry{
		{
			Name: "window-too-wide", Group: EngineeringGroup, What: "The window of the judge is so wide that a slipping brake stays inside.",
			Scale:     &Scale{Target: "judge.window_deg", Unit: "of the window", Mild: 2, Usual: 10, Severe: 50, text: judge(window)},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "Not detectable in operation; by a review of the data, or a test with a brake that is known to be weak.",
		}, {
			Name: "window-too-tight", Group: EngineeringGroup, What: "The window of the judge is tighter than the noise of the encoder.",
			Scale:     &Scale{Target: "judge.window_deg", Unit: "of the window", Mild: 0.5, Usual: 0.02, Severe: 0.005, text: judge(window)},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The judge fails a brake that holds: moved, without a visible movement.",
		}, {
			Name: "dwell-too-short", Group: EngineeringGroup, What: "The dwell of the judge is too short.",
			Scale:     &Scale{Target: "judge.dwell", Unit: "of the dwell", Mild: 0.8, Usual: 0.2, Severe: 0.02, text: dwell},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The sequence, by a proof that comes too early.",
		}, {
			Name: "deadline-too-short", Group: EngineeringGroup, What: "The deadline of the judge is hardly longer than the dwell.",
			Scale:     &Scale{Target: "judge.deadline", Unit: "of the dwell", Mild: 1.5, Usual: 1.02, Severe: 1, text: dwell},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The judge fails a brake that holds: no-dwell, after any small disturbance of the torque.",
		}, {
			Name: "sense-by-magnitude", Group: EngineeringGroup, What: "The judge compares the magnitude of the current and not its direction.",
			Set:   map[string]string{"judge.sense": plant.SenseMagnitude},
			Needs: judgesCurrent, FromStart: true, Remedy: "correct-data",
			DetectedBy: "Not detectable: the current that merely holds the load meets the requirement.",
		}, {
			Name: "ceiling-too-low", Group: EngineeringGroup, What: "The ceiling of the safety side is below the press torque of the test.",
			Scale:     &Scale{Target: "judge.ceiling_nm", Unit: "of the ceiling", Mild: 0.95, Usual: 0.4, Severe: 0.05, text: judge(func(j *plant.Judge) float64 { return j.CeilingNM })},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The judge: over-torque, and a stop of the drive.",
		}, {
			Name: "interval-wrong", Group: EngineeringGroup, What: "The interval of the judge is longer than the one that the sequence expects.",
			Scale:     &Scale{Target: "judge.interval", Unit: "of the interval", Mild: 1.05, Usual: 2, Severe: 10, text: timesPeriod(func(r *plant.Rig) time.Duration { return r.Judge.Interval })},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The sequence, if it looks whether a proof runs down from its own interval.",
		}, {
			Name: "requirement-too-high", Group: EngineeringGroup, What: "The judge has a fixed required current that is higher than the current of the press.",
			Set: map[string]string{"judge.requirement": plant.RequirementFixed},
			Scale: &Scale{Target: "judge.required_a", Unit: "of the requirement for pressing down", Mild: 1.1, Usual: 1.5, Severe: 5, text: timesOf(func(r *plant.Rig) float64 {
				return plant.Derive(r).RequiredDownAmpA
			})},
			Needs: judgesCurrent, FromStart: true, Remedy: "correct-data",
			DetectedBy: "The judge: no-torque at its deadline, although the sequence has reached its press torque.",
		},
	}
}

// judgesCurrent is whether the judge of a rig compares a current.
func judgesCurrent(r *plant.Rig) bool { return r.Judge.Kind == plant.JudgeCurrent }

// requirementFaults are wrong values in the sequence. Parameters are found by their roles, and a case
// whose sequence does not give them does not fit.
func requirementFaults() []Entry {
	required := func(down, up string) func(*plant.Rig, Params) map[string]string {
		return func(_ *plant.Rig, param Params) map[string]string {
			names := strings.NewReplacer("TEST", string(param("test_torque")), "LOAD", string(param("load_torque")))
			return map[string]string{param("required_down").key(): names.Replace(down), param("required_up").key(): names.Replace(up)}
		}
	}
	typed := func(role, text string) func(*plant.Rig, Params) map[string]string {
		return func(_ *plant.Rig, param Params) map[string]string { return map[string]string{param(role).key(): text} }
	}
	return []Entry{
		{
			Name: "rms-for-amplitude", Group: EngineeringGroup, What: "The required current was entered as rms in place of the amplitude, and the torque computed from it.",
			Settings:  required("-(TEST - LOAD) / 1.41421356", "(TEST + LOAD) / 1.41421356"),
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "Not detectable in operation: all signals agree with the value; during commissioning by the current that holds the load.",
		}, {
			Name: "test-directions-exchanged", Group: EngineeringGroup, What: "The directions of the test are exchanged: the sequence presses up for down and down for up.",
			Settings:  required("TEST - LOAD", "-(TEST + LOAD)"),
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The sequence: the press torque does not reach its requirement; the judge, if its sense is signed.",
		}, {
			Name: "load-left-out", Group: EngineeringGroup, What: "The load is left out of the required torque: the press down is too strong, the press up far too weak.",
			Settings:  required("-TEST", "TEST"),
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "Not detectable in operation; by a review of the data: pressing up must take clearly more current than holding.",
		}, {
			Name: "press-margin-left-out", Group: EngineeringGroup, What: "The setpoint of the press is the requirement itself, and a current with lag does not stay above it.",
			Settings:  typed("press_margin", "1"),
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The sequence: the press torque is not reached; or the judge fails a brake that holds: no-dwell.",
		}, {
			Name: "partner-left-coupled", Group: EngineeringGroup, What: "The partner is not configured in the sequence, so that it stays coupled and its brake holds as well.",
			Settings: typed("coupled", no),
			Needs:    hasPartner, FromStart: true, Remedy: "correct-data",
			DetectedBy: "Not detectable in operation; by a test with a brake that is known to be weak.",
		},
	}
}

// testPosition is the role of the parameter that says where a test is made.
const testPosition = "test_position"

// placeFaults are test positions that were chosen badly.
func placeFaults() []Entry {
	at := func(place func(r *plant.Rig, usualMM float64) float64) func(*plant.Rig, Params) map[string]string {
		return func(r *plant.Rig, param Params) map[string]string {
			name := param(testPosition)
			return map[string]string{name.key(): figureMM(place(r, usualMM(r, name)))}
		}
	}
	return []Entry{
		{
			Name: "test-at-a-stop", Group: EngineeringGroup, What: "The test position is so far inside the lower stop that the load rests on it.",
			Settings:  at(restingMM),
			FromStart: true, Remedy: "choose-test-position",
			DetectedBy: "The sequence, if it compares the load torque in travel and at rest; the judge cannot, as it reads the current and no movement.",
		}, {
			Name: "test-on-the-wrap", Group: EngineeringGroup, What: "The test position is where the single turn of the encoder wraps.",
			Settings:  at(wrapMM),
			FromStart: true, Remedy: "choose-test-position",
			DetectedBy: "The judge, if it does not take the shorter angular distance: moved, without a movement.",
		}, {
			Name: "test-position-low-load", Group: EngineeringGroup, What: "The arm is tested where it points upwards and its load torque is low, with a test torque taken from there.",
			Settings: func(r *plant.Rig, param Params) map[string]string {
				name := param(testPosition)
				mm := lightMM(r, usualMM(r, name))
				load := 0 - plant.LoadTorque(r, mm)
				set := map[string]string{
					name.key(): figureMM(mm), param("test_angle").key(): fourDigits(r.Load.ArmAngleDeg + mm/r.Load.ArmMM*180/math.Pi),
					param("load_torque").key(): fourDigits(load), param("test_torque").key(): fourDigits(r.Test.Factor * load),
				}
				if r.Judge.Kind == plant.JudgeTorque { // from the same calculation
					set["judge.required_down_nm"] = fourDigits(-(r.Test.Factor - 1) * load)
					set["judge.required_up_nm"] = fourDigits((r.Test.Factor + 1) * load)
				}
				return set
			},
			Needs: hasArm, FromStart: true, Remedy: "choose-test-position",
			DetectedBy: "Not detectable in operation; by a review of the data against the worst-case position.",
		},
	}
}

// figureMM writes a place to the tenth of a micrometre.
func figureMM(mm float64) string {
	return strconv.FormatFloat(math.Round(mm*1e4)/1e4, 'f', -1, 64)
}

// usualMM is the test position that the rig gives a parameter of the sequence as a number, or the
// middle of its travel.
func usualMM(r *plant.Rig, name Param) float64 {
	mm, err := strconv.ParseFloat(r.Sequence[string(name)], 64)
	if err != nil || math.IsNaN(mm) || math.IsInf(mm, 0) {
		return (r.Stops.LowMM + r.Stops.HighMM) / 2
	}
	return mm
}

// wrapMM is the place next to the usual one at which the encoder reads zero.
func wrapMM(r *plant.Rig, usualMM float64) float64 {
	turn := 2 * math.Pi * plant.Derive(r).MMPerRad
	zero := float64(-r.Encoder.OffsetDeg / 360 * turn)
	return zero + float64(math.Round((usualMM-zero)/turn)*turn)
}

// restingMM is a place in the lower stop, a tenth deeper than where the stop carries all of the load:
// the weight over the stiffness of the stop. Source: Hooke's law.
func restingMM(r *plant.Rig, _ float64) float64 {
	d := plant.Derive(r)
	weight := math.Abs(plant.LoadTorque(r, r.Stops.LowMM)) / (d.MMPerRad / 1000)
	return r.Stops.LowMM - 1.1*weight/r.Stops.StiffnessNPerMM
}

// lightMM is where the load torque of an arm first falls to half of the maximum on its way up from a
// place, or the upper end clear of the stop if it does not.
func lightMM(r *plant.Rig, from float64) float64 {
	const steps = 200
	to := r.Stops.HighMM - float64(0.05*(r.Stops.HighMM-r.Stops.LowMM))
	half := plant.Derive(r).LoadTorqueNM / 2
	light := func(mm float64) bool { return math.Abs(plant.LoadTorque(r, mm)) <= half }
	low, high := from, to
	for i := 1; i <= steps; i++ {
		if mm := from + (to-from)*float64(i)/steps; light(mm) {
			low, high = from+(to-from)*float64(i-1)/steps, mm
			break
		}
	}
	for range 50 { // by bisection within the step
		if mid := (low + high) / 2; light(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return high
}
