package catalogue

import "holdbench/plant"

// guardFaults are those of the guard, of the buttons and of the mode switch of the safety side.
func guardFaults() []Entry {
	return []Entry{
		{
			Name: "guard-forced-open", Group: OperationGroup, What: "The guard is opened during the test by its escape release, without being unlocked.",
			Set:   map[string]string{"safety.guard_forced": yes, "operator.guard_open": yes},
			Needs: hasGuard, Remedy: "repeat-the-test",
			DetectedBy: "The safety side, which stops the axis; the sequence, by guard_closed and stop_cause.",
		}, {
			Name: "guard-switch-stuck-closed", Group: SensorGroup, What: "The interlocking device of the guard reads closed and locked, and a person opens the guard.",
			Set:   map[string]string{"safety.guard_signal": plant.SignalClosed, "safety.guard_forced": yes, "operator.guard_open": yes},
			Needs: hasGuard, Remedy: "check-guard",
			DetectedBy: "Not detectable from this signal: the axis goes on with a person in reach; by a second contact, and by a test of the guard.",
		}, {
			Name: "guard-switch-stuck-open", Group: SensorGroup, What: "The interlocking device of the guard reads open, as with its wire off.",
			Set:   map[string]string{"safety.guard_signal": plant.SignalOpen},
			Needs: hasGuard, Remedy: "check-guard",
			DetectedBy: "The safety side, which stops the axis; no reset is possible before it is repaired.",
		}, {
			Name: "mode-switch-at-setup", Group: OperationGroup, What: "The mode switch is turned to setup in the middle of a test, or its contact is wrong.",
			Set:   map[string]string{"operator.setup_mode": yes},
			Needs: hasGuard, Remedy: "repeat-the-test",
			DetectedBy: "The sequence, by setup_mode; an open guard stops nothing then, only a speed above the reduced one does.",
		}, {
			Name: "access-requested", Group: OperationGroup, What: "A person asks to have the guard unlocked while a test runs.",
			Set:   map[string]string{"operator.access": yes},
			Needs: hasGuard, Remedy: "repeat-the-test",
			DetectedBy: "The safety side, which grants it at standstill with a valid proof when no test is running; the sequence, by access.",
		}, {
			Name: "acknowledge-stuck", Group: SensorGroup, What: "The button that acknowledges a failure sticks.",
			Set:    map[string]string{"operator.acknowledge": yes},
			Remedy: "check-button", DetectedBy: "The safety side, which acts on a release only; the sequence, by acknowledge ahead of a failure.",
		},
	}
}

// judgeDataFaults are wrong data of a judge that are those of a kind, or that a fixed value decides.
func judgeDataFaults() []Entry {
	required := func(down, up func(*plant.Judge) float64) func(*plant.Rig, Params) map[string]string {
		return func(r *plant.Rig, _ Params) map[string]string {
			return map[string]string{"judge.required_down_nm": fourDigits(down(&r.Judge)), "judge.required_up_nm": fourDigits(up(&r.Judge))}
		}
	}
	down := func(j *plant.Judge) float64 { return j.RequiredDownNM }
	up := func(j *plant.Judge) float64 { return j.RequiredUpNM }
	minus := func(of func(*plant.Judge) float64) func(*plant.Judge) float64 {
		return func(j *plant.Judge) float64 { return -of(j) }
	}
	return []Entry{
		{
			Name: "judge-directions-too-few", Group: EngineeringGroup, What: "The safety side requires the downward direction alone, although the brake must hold in both.",
			Settings: func(*plant.Rig, Params) map[string]string {
				return map[string]string{"judge.directions": plant.DirectionsDown}
			},
			Needs: requiresBoth, FromStart: true, Remedy: "correct-data",
			DetectedBy: "The sequence, by a proof after half a test; not detectable in the proof itself.",
		}, {
			Name: "judge-requirement-too-low", Group: EngineeringGroup, What: "The required torque downwards of the safety side is too low.",
			Scale: &Scale{Target: "judge.required_down_nm", Unit: "of the required torque", Mild: 0.9, Usual: 0.5, Severe: 0.05, text: timesOf(func(r *plant.Rig) float64 { return down(&r.Judge) })},
			Needs: judgesTorque, FromStart: true, Remedy: "correct-data",
			DetectedBy: "Not detectable in operation; by a review of the data, or a test with a press that is known to be weak.",
		}, {
			Name: "judge-requirement-too-high", Group: EngineeringGroup, What: "The required torque downwards of the safety side is higher than the press of the sequence.",
			Scale: &Scale{Target: "judge.required_down_nm", Unit: "of the required torque", Mild: 1.15, Usual: 1.5, Severe: 5, text: timesOf(func(r *plant.Rig) float64 { return down(&r.Judge) })},
			Needs: judgesTorque, FromStart: true, Remedy: "correct-data",
			DetectedBy: "The judge: no-torque at its deadline, although the sequence has reached its press torque.",
		}, {
			Name: "judge-requirement-sign-wrong", Group: EngineeringGroup, What: "The required torques of the safety side have the wrong sign.",
			Settings: required(minus(down), minus(up)),
			Needs:    judgesTorque, FromStart: true, Remedy: "correct-data",
			DetectedBy: "The judge: no-torque in the first direction; vet, which compares sign and direction.",
		}, {
			Name: "judge-requirements-exchanged", Group: EngineeringGroup, What: "The required torques of the two directions are exchanged in the safety side.",
			Settings: required(minus(up), minus(down)),
			Needs:    judgesTorque, FromStart: true, Remedy: "correct-data",
			DetectedBy: "The judge: no-torque downwards, as pressing up takes more; upwards alone it is not detectable.",
		}, {
			Name: "judge-constant-too-large", Group: EngineeringGroup, What: "The torque constant of the safety side is larger than that of the motor, so that it takes every torque for more than it is.",
			Scale:     &Scale{Target: "judge.torque_constant_nm_per_rms_a", Unit: "of the motor's", Mild: 1.05, Usual: 1.3, Severe: 3, text: timesOf(func(r *plant.Rig) float64 { return r.Motor.TorqueConstant })},
			FromStart: true, Remedy: "correct-data",
			DetectedBy: "The judge, at the ceiling that it reaches too early; by comparing its torque with the load torque at rest.",
		},
	}
}

func hasGuard(r *plant.Rig) bool { return r.Safety.Guard != plant.GuardNone }

func requiresBoth(r *plant.Rig) bool { return r.Judge.Directions == plant.DirectionsBoth }

func judgesTorque(r *plant.Rig) bool { return r.Judge.Kind == plant.JudgeTorque }
