package catalogue

// linkFaults are those of the signals between the two sides.
func linkFaults() []Entry {
	return []Entry{
		{
			Name: "link-down", Group: LinkGroup, What: "No signal arrives in either direction between the two sides.",
			Set:        map[string]string{"link.down": yes},
			Remedy:     "check-link",
			DetectedBy: "The watchdogs of both sides: they read safe values, and the proof is withdrawn.",
		}, {
			Name: "ask-held", Group: LinkGroup, What: "The safety side keeps reading the last ask, as from a block that is no longer updated.",
			Set:     map[string]string{"link.ask_held": yes},
			Symptom: noAnswer, Remedy: "check-signal-programs",
			DetectedBy: "The sequence, by a missing answer.",
		}, {
			Name: "verdict-held", Group: LinkGroup, What: "The functional side keeps reading the last verdict.",
			Set:     map[string]string{"link.verdict_held": yes},
			Symptom: noAnswer, Remedy: "check-signal-programs",
			DetectedBy: "The sequence, if it accepts only a verdict that is newer than its ask.",
		}, {
			Name: "link-frozen", Group: LinkGroup, What: "Both sides keep reading the last signals of the other, as from a bridge that repeats its last frame.",
			Set:     map[string]string{"link.ask_held": yes, "link.verdict_held": yes},
			Symptom: noAnswer, Remedy: "check-link",
			DetectedBy: "The sequence, by an answer that does not come; no watchdog expires, as frames arrive.",
		}, {
			Name: "ask-stuck", Group: LinkGroup, What: "The safety side always reads an ask, as from a bit that was forced during commissioning.",
			Set:        map[string]string{"link.ask_stuck": yes},
			Remedy:     "check-signal-programs",
			DetectedBy: "The sequence, by a judge that is busy or has failed ahead of the ask.",
		}, {
			Name: "verdict-stuck", Group: LinkGroup, What: "The functional side always reads a new proof, as from a bit that was forced during commissioning.",
			Set:        map[string]string{"link.verdict_stuck": yes},
			Remedy:     "check-signal-programs",
			DetectedBy: "The sequence, if it waits for the check to begin, and by a remaining time that does not change.",
		}, {
			Name: "counter-held", Group: LinkGroup, What: "The counter of verdicts is not copied any more, and all other signals of the safety side are.",
			Set:     map[string]string{"link.count_held": yes},
			Symptom: noAnswer, Remedy: "check-signal-programs",
			DetectedBy: "The sequence, if it takes only a verdict for which the counter has changed.",
		}, {
			Name: "link-slow", Group: LinkGroup, What: "Signals between the two sides arrive late.",
			Scale:      &Scale{Target: "clock.link_delay_scans", Unit: "safety scans", Mild: 2, Usual: 8, Severe: 16, text: asCount},
			Remedy:     "check-link",
			DetectedBy: "The sequence, by the time until an answer comes.",
		},
	}
}

// partnerFaults are those of the partner and of its coupling.
func partnerFaults() []Entry {
	return []Entry{
		{
			Name: "partner-brake-closed", Group: PartnerGroup, What: "The brake of the partner does not open.",
			Set:   map[string]string{"partner.brake.opens_to": "1"},
			Needs: hasPartner, Remedy: "check-partner",
			DetectedBy: "The sequence, when it travels coupled; not detectable decoupled.",
		}, {
			Name: "partner-drive-holds", Group: PartnerGroup, What: "The drive of the partner holds its shaft in position.",
			Set:   map[string]string{"partner.drive_holds": yes},
			Scale: &Scale{Target: "partner.drive_limit_nm", Unit: "of the load torque", Mild: 0.1, Usual: 1.5, Severe: 3, text: timesOf(loadTorque)},
			Needs: hasPartner, Remedy: "check-partner",
			DetectedBy: "The sequence, when it travels coupled; not detectable when pressing coupled, and it carries part of the test torque.",
		}, {
			Name: "partner-lining-worn", Group: PartnerGroup, Gradual: true, What: "The lining of the brake of the partner is worn.",
			Scale: &Scale{Target: "partner.brake.condition", Unit: "of the rated torque", Mild: 0.75, Usual: 0.35, Severe: 0.15},
			Needs: hasPartner, Remedy: "check-partner",
			DetectedBy: "Not detectable until the partner has a test of its own.",
		}, {
			Name: "coupling-stuck", Group: PartnerGroup, What: "The coupling to the partner does not open.",
			Set:   map[string]string{"partner.stays_coupled": yes},
			Needs: hasPartner, Remedy: "check-coupling",
			DetectedBy: "The sequence: the switch on the coupling keeps reading coupled.",
		}, {
			Name: "coupling-feedback-wrong", Group: PartnerGroup, What: "The coupling reports open while closed.",
			Set:   map[string]string{"partner.stays_coupled": yes, "partner.reports_decoupled": yes},
			Needs: hasPartner, Remedy: "check-coupling",
			DetectedBy: "The sequence, while the coupling is commanded closed; not detectable once it is commanded open.",
		}, {
			Name: "coupling-slow", Group: PartnerGroup, What: "The coupling opens and closes slowly.",
			Scale: &Scale{Target: "partner.decouple_time", Unit: "s", Mild: 0.5, Usual: 2, Severe: 8, text: asSeconds},
			Needs: hasPartner, Remedy: "check-coupling",
			DetectedBy: "The sequence, by the time until the switch on the coupling follows.",
		}, {
			Name: "coupling-gap-grown", Group: PartnerGroup, Gradual: true, What: "The coupling is worn and has more backlash.",
			Scale: &Scale{Target: "partner.coupling_backlash_deg", Unit: "deg", Mild: 2, Usual: 15, Severe: 80},
			Needs: hasPartner, Remedy: "check-coupling",
			DetectedBy: "The sequence, by a torque jerk in coupled travel, if at all.",
		},
	}
}
