package plant

import "time"

func partnerFields() []Field {
	return []Field{
		fixedInRun(number("partner.inertia_kg_m2", "kg·m²", 0, 1e4, func(r *Rig) *float64 { return &r.Partner.InertiaKGM2 }, "inertia of a second shaft coupled to the axis; 0 for none")),
		needsPartner(number("partner.coupling_stiffness_nm_per_rad", "N·m/rad", 1e-3, 1e9, func(r *Rig) *float64 { return &r.Partner.CouplingStiffness }, "torsional stiffness of the coupling")),
		needsPartner(number("partner.coupling_damping_ratio", "", 0, 5, func(r *Rig) *float64 { return &r.Partner.CouplingDampingRatio }, "damping ratio of the coupling; 1 is critical")),
		needsPartner(number("partner.coupling_backlash_deg", "deg", 0, 90, func(r *Rig) *float64 { return &r.Partner.BacklashDeg }, "backlash of the coupling")),
		needsPartner(period("partner.decouple_time", 0, 60, func(r *Rig) *time.Duration { return &r.Partner.DecoupleTime }, "time from the command until the coupling is open or closed")),
		needsPartner(number("partner.drive_limit_nm", "N·m", 0, 1e6, func(r *Rig) *float64 { return &r.Partner.DriveLimitNM }, "torque limit of the partner's drive")),
		needsPartner(flag("partner.drive_holds", func(r *Rig) *bool { return &r.Partner.DriveHolds }, "the partner's drive holds the position of its shaft")),
		needsPartner(flag("partner.stays_coupled", func(r *Rig) *bool { return &r.Partner.StaysCoupled }, "the coupling does not open")),
		needsPartner(flag("partner.reports_decoupled", func(r *Rig) *bool { return &r.Partner.ReportsDecoupled }, "the switch of the coupling reports decoupled, whatever its state")),
	}
}
