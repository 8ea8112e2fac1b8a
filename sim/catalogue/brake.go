package catalogue

import "holdbench/plant"

// brakeForceFaults are those of the torque of a closed brake.
func brakeForceFaults() []Entry {
	return []Entry{
		{
			Name: "lining-worn", Group: BrakeGroup, Gradual: true, What: "The lining is worn and holds only a part of the rated torque.",
			Scale:   &Scale{Target: "brake.condition", Unit: "of the rated torque", Mild: 0.75, Usual: 0.35, Severe: 0.15},
			Symptom: weakBrake, Remedy: "replace-brake",
			DetectedBy: "The judge: the shaft leaves the window once the brake torque exceeds the capacity.",
		}, {
			Name: "oil-on-lining", Group: BrakeGroup, What: "Oil or grease on the lining reduces its friction.",
			Scale:   &Scale{Target: "brake.condition", Unit: "of the rated torque", Mild: 0.5, Usual: 0.25, Severe: 0.1},
			Symptom: weakBrake, Remedy: "clean-and-find-leak",
			DetectedBy: "The judge: the shaft leaves the window; the load may drop before the test torque is reached.",
		}, {
			Name: "lining-glazed", Group: BrakeGroup, Gradual: true, What: "The lining is glazed because the brake only ever closes at rest; slip restores its friction.",
			Scale:     &Scale{Target: "brake.glaze", Unit: "of the friction lost", Mild: 0.2, Usual: 0.65, Severe: 0.9},
			Permanent: true, Symptom: weakBrake, Remedy: "run-brake-in",
			DetectedBy: "The judge: the shaft leaves the window; after running-in the brake may hold.",
		}, {
			Name: "brake-hot", Group: BrakeGroup, Gradual: true, What: "The machine is so hot that the friction of the lining fades.",
			// With the knee at its lowest, ambient temperature alone is hot enough: a brake takes
			// longer than a run to warm up.
			Set: map[string]string{"brake.fade_from_c": "-60"},
			Scale: &Scale{Target: "brake.fade_per_k", Unit: "of the friction lost", Mild: 0.2, Usual: 0.65, Severe: 0.9, text: func(r *plant.Rig, lost float64) string {
				return fourDigits(lost / max(1, r.Brake.AmbientC+60))
			}},
			Symptom: weakBrake, Remedy: "reduce-temperature",
			DetectedBy: "The judge, if the test is made at operating temperature; not detectable in a cold test.",
		}, {
			Name: "coil-residual-voltage", Group: BrakeGroup, What: "Residual voltage on the coil of the closed brake reduces its closing force.",
			Scale:   &Scale{Target: "brake.residual_voltage", Unit: "of the rated voltage", Mild: 0.4, Usual: 0.85, Severe: 0.95},
			Symptom: weakBrake, Remedy: "check-coil-supply",
			DetectedBy: "The judge: the shaft leaves the window, although the switch reads closed.",
		}, {
			Name: "air-gap-grown", Group: BrakeGroup, Gradual: true, What: "The air gap has grown past its limit: the brake closes late and its springs have less force.",
			Scale:     &Scale{Target: "brake.gap_mm", Unit: "of the limit", Mild: 1.05, Usual: 1.65, Severe: 1.9, text: timesOf(func(r *plant.Rig) float64 { return r.Brake.GapLimitMM })},
			Permanent: true, Remedy: "set-air-gap",
			DetectedBy: "The sequence, by a late feedback; the judge: the shaft leaves the window.",
		}, {
			Name: "brake-closes-partly", Group: BrakeGroup, What: "The brake does not close fully, because of dirt or a broken spring.",
			Scale:   &Scale{Target: "brake.closes_to", Unit: "of full engagement", Mild: 0.95, Usual: 0.5, Severe: 0.1},
			Symptom: notClosed, Remedy: "repair-brake-mechanics",
			DetectedBy: "The sequence, by a missing feedback; if nearly closed, the judge alone.",
		}, {
			Name: "hand-release-engaged", Group: BrakeGroup, Gradual: true, What: "The hand release was left engaged after service and takes a part of the closing force, or all of it.",
			Scale:   &Scale{Target: "brake.hand_release", Unit: "of the closing force", Mild: 0.2, Usual: 0.7, Severe: 1},
			Symptom: notClosed, Remedy: "return-hand-release",
			DetectedBy: "The sequence, by a missing feedback if it is fully engaged; else the judge alone, as the switch reads closed.",
		},
	}
}

// brakeMagnetFaults are those of brakes that a permanent magnet closes.
func brakeMagnetFaults() []Entry {
	return []Entry{
		{
			Name: "brake-over-excited", Group: BrakeGroup, What: "The voltage at the coil is too high: its flux outweighs that of the permanent magnet and closes the open brake again.",
			Scale:      &Scale{Target: "brake.coil_voltage", Unit: "of the rated voltage", Mild: 1.5, Usual: 1.7, Severe: 2},
			Needs:      closedByMagnet,
			Remedy:     "check-coil-supply",
			DetectedBy: "The sequence: the feedback returns, or the axis drags against the brake.",
		}, {
			Name: "brake-magnet-weak", Group: BrakeGroup, Gradual: true, What: "The permanent magnet has lost flux, by heat or by a current in the wrong direction: the torque falls with its square.",
			Scale:   &Scale{Target: "brake.magnet_strength", Unit: "of the flux", Mild: 0.9, Usual: 0.62, Severe: 0.45},
			Needs:   closedByMagnet,
			Symptom: weakBrake, Remedy: "replace-brake",
			DetectedBy: "The judge: the shaft leaves the window. The sequence, if the rated voltage no longer opens the brake fully.",
		},
	}
}

func closedByMagnet(r *plant.Rig) bool { return r.Brake.Kind == plant.KindMagnet }

// brakeHistoryFaults are those that depend on what the brake did before.
func brakeHistoryFaults() []Entry {
	return []Entry{
		{
			Name: "lining-creeps", Group: BrakeGroup, Gradual: true, What: "The contaminated lining yields slowly below its breakaway torque.",
			Scale:   &Scale{Target: "brake.creep_deg_per_s", Unit: "deg/s at a torque equal to the capacity", Mild: 20, Usual: 200, Severe: 900},
			Symptom: weakBrake, Remedy: "clean-and-find-leak",
			DetectedBy: "The judge, if the dwell is long enough for the creep to leave the window.",
		}, {
			Name: "lining-soaked", Group: BrakeGroup, Gradual: true, What: "The lining is soaked with oil: a run-in restores its friction, and at rest the oil comes back to the surface.",
			Scale:     &Scale{Target: "brake.glaze_returns_to", Unit: "of the friction lost", Mild: 0.2, Usual: 0.65, Severe: 0.9},
			Permanent: true, Symptom: weakBrake, Remedy: "clean-and-find-leak",
			DetectedBy: "The judge: the shaft leaves the window; after running-in the brake holds for some hours only.",
		}, {
			Name: "brake-fades-in-production", Group: BrakeGroup, Gradual: true, What: "The brake grinds in production and is hot, and its lining fades.",
			Set:       map[string]string{"brake.fade_from_c": "60", "brake.fade_per_k": "0.005"},
			Scale:     &Scale{Target: "brake.excess_k", Unit: "K above ambient", Mild: 70, Usual: 170, Severe: 220},
			Permanent: true, Symptom: weakBrake, Remedy: "reduce-temperature",
			DetectedBy: "The judge, if the test is made at operating temperature; not detectable in a cold test.",
		}, {
			Name: "brake-disc-stuck", Group: BrakeGroup, Gradual: true, What: "After a long rest the friction disc sticks to its plates, open or closed, until the first slip.",
			Scale:     &Scale{Target: "brake.adhesion", Unit: "of the rated torque", Mild: 0.1, Usual: 0.4, Severe: 1.5},
			Permanent: true, Remedy: "exercise-brake",
			DetectedBy: "The sequence, by the torque peak of the first move; in a test at rest it hides a weak brake.",
		},
	}
}

// brakeMotionFaults are those of opening and closing.
func brakeMotionFaults() []Entry {
	return []Entry{
		{
			Name: "brake-stays-open", Group: BrakeGroup, What: "The brake does not close: it is stuck, or its supply is not removed.",
			Set:     map[string]string{"brake.closes_to": "0"},
			Symptom: notClosed, Remedy: "check-coil-supply",
			DetectedBy: "The sequence: the feedback does not come in time.",
		}, {
			Name: "brake-closes-late", Group: BrakeGroup, What: "The brake closes late, as with a free-wheeling diode across its coil.",
			Scale:      &Scale{Target: "brake.response_delay", Unit: "s", Mild: 0.1, Usual: 0.6, Severe: 2.5, text: asSeconds},
			Remedy:     "check-coil-supply",
			DetectedBy: "The sequence, by the time until the feedback comes.",
		}, {
			Name: "brake-stays-closed", Group: BrakeGroup, What: "The brake does not open, for lack of voltage or with a broken coil.",
			Set:        map[string]string{"brake.opens_to": "1"},
			Remedy:     "check-coil-supply",
			DetectedBy: "The sequence: the feedback stays, and the axis does not move.",
		}, {
			Name: "brake-output-stuck-on", Group: BrakeGroup, What: "The output channel of the brake is stuck on: the command to close does not arrive.",
			Set:     map[string]string{"brake.output_stuck_on": yes},
			Symptom: notClosed, Remedy: "check-brake-output",
			DetectedBy: "The sequence: the feedback does not come in time. A second channel in series would close the brake.",
		}, {
			Name: "coil-voltage-sags", Group: BrakeGroup, What: "The voltage at the coil sags: the closed brake does not open, and further down the open one closes.",
			Scale:      &Scale{Target: "brake.coil_voltage", Unit: "of the rated voltage", Mild: 0.65, Usual: 0.25, Severe: 0.05},
			Remedy:     "check-coil-supply",
			DetectedBy: "The sequence: the feedback stays when the brake should open, or comes back in a move.",
		}, {
			Name: "brake-opens-late", Group: BrakeGroup, What: "The brake opens late, as with a supply too weak to attract the armature quickly.",
			Scale:      &Scale{Target: "brake.release_time", Unit: "s", Mild: 0.2, Usual: 1, Severe: 4, text: asSeconds},
			Remedy:     "check-coil-supply",
			DetectedBy: "The sequence, by the time until the feedback is gone.",
		}, {
			Name: "brake-drags", Group: BrakeGroup, What: "The open brake still drags.",
			Scale:   &Scale{Target: "brake.opens_to", Unit: "of full engagement", Mild: 0.03, Usual: 0.15, Severe: 0.5},
			Symptom: stiffGuide, Remedy: "repair-brake-mechanics",
			DetectedBy: "The sequence, by the torque for a move; the feedback reads open.",
		}, {
			Name: "brake-play-grown", Group: BrakeGroup, Gradual: true, What: "The hub of the brake is worn out and has play.",
			Scale:      &Scale{Target: "brake.play_deg", Unit: "deg", Mild: 0.4, Usual: 2, Severe: 8},
			Remedy:     "repair-brake-mechanics",
			DetectedBy: "The sequence, by the movement of the shaft when the torque reverses; the judge: the position leaves the window.",
		},
	}
}
