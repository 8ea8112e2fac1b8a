package identify

// Manoeuvre is what is recorded on an axis for an identification.
type Manoeuvre struct {
	Name  string
	Kinds []Kind   // of the pieces that it makes
	Do    string   // on the machine
	Tells []string // values of a rig
}

// Manoeuvres are all of them, in the order in which they load axis and brake more and more.
func Manoeuvres() []Manoeuvre {
	return []Manoeuvre{
		{"standstill", []Kind{StandstillOpen}, "the drive holds the load at rest, brake open: 1 s", []string{"drive.current_noise_rms_a"}},
		{"travel", []Kind{TravelUp, TravelDown}, "the same way up and down at a slow speed, and again at two or three times that speed", []string{"load.mass_kg", "guide.sliding_nm", "guide.viscous_nm_s"}},
		{"acceleration", []Kind{Acceleration}, "starts and stops with the acceleration of the drive, as in the travel", []string{"motor.inertia_kg_m2"}},
		{"close and open", []Kind{Closing, StandstillClosed, Opening}, "close the brake, wait 3 s, open it, while the drive holds", []string{"brake.release_time", "encoder.noise_deg"}},
		{"press", []Kind{PressDown, PressUp}, "press slowly against the closed brake, down and up, not above the test torque", []string{"brake.wind_up_deg", "brake.play_deg", "brake.static_nm", "guide.breakaway_nm"}},
		{"stop by brake", []Kind{StopByBrake}, "stop by the brake with the drive off, up and down, from the lowest speed at which the axis still moves when the brake has its torque", []string{"brake.response_delay", "brake.rise_time", "brake.sliding_nm"}},
	}
}
