package catalogue

import "holdbench/plant"

// brakeForceFaults are those of the torque that a closed brake has.
func brakeForceFaults() []Entry {
	return []Entry{
		{
			Name: "lining-worn", Group: BrakeGroup, What: "The lining is worn and holds a part of the rated torque.",
			Scale:   &Scale{Target: "brake.condition", Unit: "of the rated torque", Mild: 0.75, Usual: 0.35, Severe: 0.15, Text: asNumber},
			Symptom: weakBrake, Remedy: "replace-brake",
			DetectedBy: "The judge: the shaft leaves the window once the brake bears more than it holds.",
		}, {
			Name: "oil-on-lining", Group: BrakeGroup, What: "Oil or grease has come onto the lining and takes most of its friction.",
			Scale:   &Scale{Target: "brake.condition", Unit: "of the rated torque", Mild: 0.5, Usual: 0.25, Severe: 0.1, Text: asNumber},
			Symptom: weakBrake, Remedy: "clean-and-find-leak",
			DetectedBy: "The judge: the shaft leaves the window; the load may sink before the test torque is reached.",
		}, {
			Name: "lining-glazed", Group: BrakeGroup, What: "The lining is polished from closing at rest only; slip brings its friction back.",
			Scale:     &Scale{Target: "brake.glaze", Unit: "of the friction lost", Mild: 0.2, Usual: 0.65, Severe: 0.9, Text: asNumber},
			Permanent: true, Symptom: weakBrake, Remedy: "run-brake-in",
			DetectedBy: "The judge: the shaft leaves the window; after a run-in it may hold.",
		}, {
			Name: "brake-hot", Group: BrakeGroup, What: "The machine is so hot that the lining fades.",
			// The knee at its lowest lets the surroundings alone be hot enough: a brake that
			// warms up takes longer than a run.
			Set: map[string]string{"brake.fade_from_c": "-60"},
			Scale: &Scale{Target: "brake.fade_per_k", Unit: "of the friction lost", Mild: 0.2, Usual: 0.65, Severe: 0.9, Text: func(r *plant.Rig, lost float64) string {
				return fourDigits(lost / max(1, r.Brake.AmbientC+60))
			}},
			Symptom: weakBrake, Remedy: "let-cool",
			DetectedBy: "The judge, if the test is made as hot as the brake is in operation; cold, nobody.",
		}, {
			Name: "coil-voltage-left", Group: BrakeGroup, What: "Voltage stays on the coil of the closed brake, and the magnet takes force from the springs.",
			Scale:   &Scale{Target: "brake.residual_voltage", Unit: "of the rated voltage", Mild: 0.4, Usual: 0.85, Severe: 0.95, Text: asNumber},
			Symptom: weakBrake, Remedy: "check-coil-supply",
			DetectedBy: "The judge: the shaft leaves the window, although the switch says closed.",
		}, {
			Name: "air-gap-grown", Group: BrakeGroup, What: "The air gap has grown past its limit: the brake closes late and its springs push less.",
			Scale:     &Scale{Target: "brake.gap_mm", Unit: "of the limit", Mild: 1.05, Usual: 1.65, Severe: 1.9, Text: timesOf(func(r *plant.Rig) float64 { return r.Brake.GapLimitMM })},
			Permanent: true, Remedy: "set-air-gap",
			DetectedBy: "The sequence, by a feedback that comes late, and the judge, by a shaft that leaves the window.",
		}, {
			Name: "brake-closes-partly", Group: BrakeGroup, What: "The armature does not reach the lining with all of its springs, for dirt or a broken spring.",
			Scale:   &Scale{Target: "brake.closes_to", Unit: "closed", Mild: 0.95, Usual: 0.5, Severe: 0.1, Text: asNumber},
			Symptom: notClosed, Remedy: "repair-brake-mechanics",
			DetectedBy: "The sequence, by a feedback that never comes; near to closed, the judge alone.",
		},
	}
}

// brakeMotionFaults are those of opening and closing.
func brakeMotionFaults() []Entry {
	return []Entry{
		{
			Name: "brake-stays-open", Group: BrakeGroup, What: "The brake does not close: it is stuck, or its supply does not go away.",
			Set:     map[string]string{"brake.closes_to": "0"},
			Symptom: notClosed, Remedy: "check-coil-supply",
			DetectedBy: "The sequence: the feedback does not come in its time.",
		}, {
			Name: "brake-closes-late", Group: BrakeGroup, What: "The brake closes late, as with a free-wheeling diode across its coil.",
			Scale:      &Scale{Target: "brake.response_delay", Unit: "s", Mild: 0.1, Usual: 0.6, Severe: 2.5, Text: asSeconds},
			Remedy:     "check-coil-supply",
			DetectedBy: "The sequence, by the time until the feedback comes.",
		}, {
			Name: "brake-stays-closed", Group: BrakeGroup, What: "The brake does not open, for want of voltage or a coil that is broken.",
			Set:        map[string]string{"brake.opens_to": "1"},
			Remedy:     "check-coil-supply",
			DetectedBy: "The sequence: the feedback stays, and the axis does not move.",
		}, {
			Name: "brake-opens-late", Group: BrakeGroup, What: "The brake opens late, as with a supply that is too weak to pull the armature fast.",
			Scale:      &Scale{Target: "brake.release_time", Unit: "s", Mild: 0.2, Usual: 1, Severe: 4, Text: asSeconds},
			Remedy:     "check-coil-supply",
			DetectedBy: "The sequence, by the time until the feedback goes.",
		}, {
			Name: "brake-drags", Group: BrakeGroup, What: "The open brake still drags on its lining.",
			Scale:   &Scale{Target: "brake.opens_to", Unit: "closed", Mild: 0.03, Usual: 0.15, Severe: 0.5, Text: asNumber},
			Symptom: stiffGuide, Remedy: "repair-brake-mechanics",
			DetectedBy: "The sequence, by the torque that a move takes; the feedback says open.",
		}, {
			Name: "brake-play-grown", Group: BrakeGroup, What: "The hub of the brake is worn out and has play.",
			Scale:      &Scale{Target: "brake.play_deg", Unit: "deg", Mild: 0.4, Usual: 2, Severe: 8, Text: asNumber},
			Remedy:     "repair-brake-mechanics",
			DetectedBy: "The sequence, by the way that the shaft goes when the torque turns round; the judge, past its window.",
		},
	}
}
