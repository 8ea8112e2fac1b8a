package catalogue

import (
	"math"
	"strconv"
	"time"

	"holdbench/plant"
)

// judgeFaults are wrong engineering data of the judge: what somebody typed.
func judgeFaults() []Entry {
	judge := func(value func(*plant.Judge) float64) func(*plant.Rig, float64) string {
		return timesOf(func(r *plant.Rig) float64 { return value(&r.Judge) })
	}
	window := func(j *plant.Judge) float64 { return j.WindowDeg }
	dwell := timesPeriod(func(r *plant.Rig) time.Duration { return r.Judge.Dwell })
	return []Entry{
		{
			Name: "window-too-wide", Group: EngineeringGroup, What: "The judge's window is so wide that a slipping brake stays inside.",
			Scale:     &Scale{Target: "judge.window_deg", Unit: "of the window", Mild: 2, Usual: 10, Severe: 50, Text: judge(window)},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "Nobody in operation; a check of the data, or a test with a brake that is known to be weak.",
		}, {
			Name: "window-too-tight", Group: EngineeringGroup, What: "The judge's window is tighter than the noise of the encoder.",
			Scale:     &Scale{Target: "judge.window_deg", Unit: "of the window", Mild: 0.5, Usual: 0.02, Severe: 0.005, Text: judge(window)},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The judge fails a brake that holds: moved, without a movement to be seen.",
		}, {
			Name: "dwell-too-short", Group: EngineeringGroup, What: "The judge is content with torque for a moment.",
			Scale:     &Scale{Target: "judge.dwell", Unit: "of the dwell", Mild: 0.8, Usual: 0.2, Severe: 0.02, Text: dwell},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The sequence, by a proof that comes too soon.",
		}, {
			Name: "deadline-too-short", Group: EngineeringGroup, What: "The judge waits for a full dwell hardly longer than a dwell takes.",
			Scale:     &Scale{Target: "judge.deadline", Unit: "of the dwell", Mild: 1.5, Usual: 1.02, Severe: 1, Text: dwell},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The judge fails a brake that holds: no-dwell, if the least thing disturbs the torque.",
		}, {
			Name: "sense-by-magnitude", Group: EngineeringGroup, What: "The judge looks at the size of the current and not at its direction.",
			Set:       map[string]string{"judge.sense": plant.SenseMagnitude},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "Nobody: the current that holds the load is enough for it.",
		}, {
			Name: "ceiling-too-low", Group: EngineeringGroup, What: "The ceiling of the safety side lies below the torque of the test.",
			Scale:     &Scale{Target: "judge.ceiling_nm", Unit: "of the ceiling", Mild: 0.95, Usual: 0.4, Severe: 0.05, Text: judge(func(j *plant.Judge) float64 { return j.CeilingNM })},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The judge: over-torque, and the drive is stopped.",
		}, {
			Name: "interval-wrong", Group: EngineeringGroup, What: "The judge's proof lasts for another time than the sequence counts on.",
			Scale:     &Scale{Target: "judge.interval", Unit: "of the interval", Mild: 0.95, Usual: 0.5, Severe: 0.05, Text: timesPeriod(func(r *plant.Rig) time.Duration { return r.Judge.Interval })},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The sequence: the proof that it gets does not look fresh.",
		}, {
			Name: "requirement-too-high", Group: EngineeringGroup, What: "The judge has a required current of its own, and it is more than is pressed.",
			Set: map[string]string{"judge.requirement": plant.RequirementFixed},
			Scale: &Scale{Target: "judge.required_a", Unit: "of what pressing down needs", Mild: 1.1, Usual: 1.5, Severe: 5, Text: timesOf(func(r *plant.Rig) float64 {
				return plant.Derive(r).RequiredDownAmpA
			})},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The judge: no-torque at its deadline, although the sequence has reached its own.",
		},
	}
}

// requirementFaults are wrong figures in the sequence. The parameters are those of the
// built-in sequences; a case with another one is not fitted.
func requirementFaults() []Entry {
	typed := func(set map[string]string) func(*plant.Rig) map[string]string {
		return func(*plant.Rig) map[string]string { return set }
	}
	const down, up = "sequence.required_down_nm", "sequence.required_up_nm"
	return []Entry{
		{
			Name: "rms-for-amplitude", Group: EngineeringGroup, What: "The required current was given as rms where the amplitude is meant, and the torque computed back from it.",
			Settings:  typed(map[string]string{down: "-(test_torque_nm - load_torque_nm) / 1.41421356", up: "(test_torque_nm + load_torque_nm) / 1.41421356"}),
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "Nobody in operation: all signals agree with the figure; the current that holds the load shows it in commissioning.",
		}, {
			Name: "pressed-the-wrong-way", Group: EngineeringGroup, What: "The directions of the test are the wrong way round: down is pressed up and up is pressed down.",
			Settings:  typed(map[string]string{down: "test_torque_nm - load_torque_nm", up: "-(test_torque_nm + load_torque_nm)"}),
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The sequence: the press torque does not come past its requirement; the judge, if its sense is signed.",
		}, {
			Name: "load-left-out", Group: EngineeringGroup, What: "The load is left out of the required torque: too much is pressed down, and far too little up.",
			Settings:  typed(map[string]string{down: "-test_torque_nm", up: "test_torque_nm"}),
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "Nobody in operation; a check of the data: pressing up must take clearly more current than holding.",
		}, {
			Name: "press-margin-left-out", Group: EngineeringGroup, What: "The setpoint of the press is the requirement itself, and a lagging current never stays above it.",
			Settings:  typed(map[string]string{"sequence.press_margin": "1"}),
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The sequence: the press torque is not reached; or the judge fails a brake that holds: no-dwell.",
		}, {
			Name: "partner-left-coupled", Group: EngineeringGroup, What: "Nobody told the sequence of the partner, so that it is not separated and its brake holds along.",
			Settings: typed(map[string]string{"sequence.coupled": no}),
			Needs:    hasPartner, FromStart: true, Remedy: "correct-data",
			DetectedBy: "Nobody in operation; a test with a brake that is known to be weak.",
		},
	}
}

// testPosition is the parameter that says where a test is made.
const testPosition = "sequence.test_position_mm"

// placeFaults are test positions that were badly chosen.
func placeFaults() []Entry {
	at := func(place func(*plant.Rig) float64) func(*plant.Rig) map[string]string {
		return func(r *plant.Rig) map[string]string { return map[string]string{testPosition: figureMM(place(r))} }
	}
	return []Entry{
		{
			Name: "test-at-a-stop", Group: EngineeringGroup, What: "The test position lies so far in the lower stop that the load rests there.",
			Settings:  at(restingMM),
			FromStart: true, Remedy: "choose-test-position",
			DetectedBy: "The sequence, if it looks at the load in travel and at rest; the judge cannot, which sees the current and no movement.",
		}, {
			Name: "test-on-the-wrap", Group: EngineeringGroup, What: "The test position lies where the single turn of the encoder wraps.",
			Settings:  at(wrapMM),
			FromStart: true, Remedy: "choose-test-position",
			DetectedBy: "The judge, if it does not take the shorter way round the turn: moved, without a movement.",
		}, {
			Name: "test-where-it-weighs-little", Group: EngineeringGroup, What: "The arm is tested where it points up and weighs little, with a torque that was taken from there.",
			Settings: func(r *plant.Rig) map[string]string {
				mm := lightMM(r)
				return map[string]string{
					testPosition: figureMM(mm), "sequence.load_torque_nm": fourDigits(math.Abs(plant.LoadTorque(r, mm))),
				}
			},
			Needs: hasArm, FromStart: true, Remedy: "choose-test-position",
			DetectedBy: "Nobody in operation; a check of the data against the worst place of the travel.",
		},
	}
}

// figureMM writes a place to the tenth of a micrometre.
func figureMM(mm float64) string {
	return strconv.FormatFloat(math.Round(mm*1e4)/1e4, 'f', -1, 64)
}

// usualMM is the test position that the rig gives the sequence as a number, or the middle of
// its travel.
func usualMM(r *plant.Rig) float64 {
	mm, err := strconv.ParseFloat(r.Sequence["test_position_mm"], 64)
	if err != nil || math.IsNaN(mm) || math.IsInf(mm, 0) {
		return (r.Stops.LowMM + r.Stops.HighMM) / 2
	}
	return mm
}

// wrapMM is the place next to the usual one at which the encoder reads zero.
func wrapMM(r *plant.Rig) float64 {
	turn := 2 * math.Pi * plant.Derive(r).MMPerRad
	zero := -r.Encoder.OffsetDeg / 360 * turn
	return zero + math.Round((usualMM(r)-zero)/turn)*turn
}

// restingMM is a place in the lower stop, a tenth deeper than where it bears all of the load:
// the weight over the stiffness of the stop. Source: Hooke's law.
func restingMM(r *plant.Rig) float64 {
	d := plant.Derive(r)
	weight := math.Abs(plant.LoadTorque(r, r.Stops.LowMM)) / (d.MMPerRad / 1000)
	return r.Stops.LowMM - 1.1*weight/r.Stops.StiffnessNPerMM
}

// lightMM is where an arm weighs half of what it does at worst, on its way up, or as far up
// as it comes.
func lightMM(r *plant.Rig) float64 {
	span := r.Stops.HighMM - r.Stops.LowMM
	high := r.Stops.HighMM - 0.05*span // clear of the stop
	half := plant.Derive(r).LoadTorqueNM / 2
	low := usualMM(r)
	for range 50 { // by halving: the arm weighs ever less on its way up
		mid := (low + high) / 2
		if math.Abs(plant.LoadTorque(r, mid)) > half {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}
