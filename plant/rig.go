package plant

import "time"

// Rig is one axis in machine terms together with its engineering data: the clock of its
// controllers, the limits of its test, the data of the safety side and the values of the
// sequence. The plant itself uses the machine part only.
type Rig struct {
	Rig   string `yaml:"rig"`
	Title string `yaml:"title,omitempty"`
	Note  string `yaml:"note,omitempty"`

	Load         Load         `yaml:"load"`
	Transmission Transmission `yaml:"transmission"`
	Stops        Stops        `yaml:"stops"`
	Support      Support      `yaml:"support"`
	Guide        Guide        `yaml:"guide"`
	Motor        Motor        `yaml:"motor"`
	Drive        Drive        `yaml:"drive"`
	Brake        Brake        `yaml:"brake"`
	Brake2       SecondBrake  `yaml:"brake_2"`
	Encoder      Encoder      `yaml:"encoder"`
	Partner      Partner      `yaml:"partner"`

	Clock  Clock  `yaml:"clock"`
	Test   Test   `yaml:"test"`
	Judge  Judge  `yaml:"judge"`
	Safety Safety `yaml:"safety"`

	// Sequence holds values of parameters of a sequence, as expressions.
	Sequence map[string]string `yaml:"sequence,omitempty"`
}

// Load is the load of the axis with its payload, counterbalance and geometry, and its initial
// motion.
type Load struct {
	MassKG               float64 `yaml:"mass_kg"`
	PayloadKG            float64 `yaml:"payload_kg"`
	PayloadLeastKG       float64 `yaml:"payload_least_kg"`
	PayloadMostKG        float64 `yaml:"payload_most_kg"`
	CounterbalanceKG     float64 `yaml:"counterbalance_kg"`
	CounterbalanceN      float64 `yaml:"counterbalance_n"`
	CounterbalanceNPerMM float64 `yaml:"counterbalance_n_per_mm"`
	CounterbalanceAtMM   float64 `yaml:"counterbalance_at_mm"`
	InertiaKGM2          float64 `yaml:"inertia_kg_m2"`
	ArmMM                float64 `yaml:"arm_mm"`
	ArmAngleDeg          float64 `yaml:"arm_angle_deg"`
	InclineDeg           float64 `yaml:"incline_deg"`
	GravityMS2           float64 `yaml:"gravity_m_s2"`
	StartMM              float64 `yaml:"start_mm"`
	StartSpeedMMS        float64 `yaml:"start_speed_mm_s"`
}

// Transmission converts motor turns into travel.
type Transmission struct {
	FeedConstantMMPerTurn float64 `yaml:"feed_constant_mm_per_turn"`
	GearRatio             float64 `yaml:"gear_ratio"`
	Efficiency            float64 `yaml:"efficiency"`
	EfficiencyLowering    float64 `yaml:"efficiency_lowering"`
	Severed               bool    `yaml:"severed"`
}

// Stops are the hard stops at both ends of the travel.
type Stops struct {
	LowMM           float64 `yaml:"low_mm"`
	HighMM          float64 `yaml:"high_mm"`
	StiffnessNPerMM float64 `yaml:"stiffness_n_per_mm"`
	DampingRatio    float64 `yaml:"damping_ratio"`
}

// Support is a place on the way on which the load can be set down. A stiffness of 0 means that
// there is none.
type Support struct {
	AtMM            float64 `yaml:"at_mm"`
	StiffnessNPerMM float64 `yaml:"stiffness_n_per_mm"`
	DampingRatio    float64 `yaml:"damping_ratio"`
	Removed         bool    `yaml:"removed"`
}

// Guide is the friction of guide, screw and seals, reflected to the motor shaft.
type Guide struct {
	SlidingNM    float64 `yaml:"sliding_nm"`
	BreakawayNM  float64 `yaml:"breakaway_nm"`
	StribeckRPM  float64 `yaml:"stribeck_rpm"`
	ViscousNMS   float64 `yaml:"viscous_nm_s"`
	WindUpDeg    float64 `yaml:"wind_up_deg"`
	DampingRatio float64 `yaml:"damping_ratio"`
}

// Motor is the servo motor with the brake's rotor.
type Motor struct {
	InertiaKGM2    float64 `yaml:"inertia_kg_m2"`
	TorqueConstant float64 `yaml:"torque_constant_nm_per_rms_a"`
	TorqueFactor   float64 `yaml:"torque_factor"`
	PolePairs      int     `yaml:"pole_pairs"`
	Commutation    string  `yaml:"commutation"`
}

// Drive is the cascade of position, speed and current control, with the limits of the drive.
type Drive struct {
	CurrentLimitRMSA      float64       `yaml:"current_limit_rms_a"`
	PeakCurrentRMSA       float64       `yaml:"peak_current_rms_a"`
	ContinuousCurrentRMSA float64       `yaml:"continuous_current_rms_a"`
	ThermalTime           time.Duration `yaml:"thermal_time"`
	ThermalLoad           float64       `yaml:"thermal_load"`
	CurrentLag            time.Duration `yaml:"current_lag"`
	CurrentNoiseRMSA      float64       `yaml:"current_noise_rms_a"`
	CurrentOffsetRMSA     float64       `yaml:"current_offset_rms_a"`
	CurrentGain           float64       `yaml:"current_gain"`
	CurrentFrozen         bool          `yaml:"current_frozen"`
	SpeedMMS              float64       `yaml:"speed_mm_s"`
	AccelerationMMS2      float64       `yaml:"acceleration_mm_s2"`
	PositionGainPerS      float64       `yaml:"position_gain_per_s"`
	SpeedBandwidthHz      float64       `yaml:"speed_bandwidth_hz"`
	SpeedIntegralTime     time.Duration `yaml:"speed_integral_time"`
	SpeedFilter           time.Duration `yaml:"speed_filter"`
	StandstillRPM         float64       `yaml:"standstill_rpm"`
	InPositionMM          float64       `yaml:"in_position_mm"`
	SwitchOnTime          time.Duration `yaml:"switch_on_time"`
	Ready                 bool          `yaml:"ready"`
	Tripped               bool          `yaml:"tripped"`
	IgnoresPress          bool          `yaml:"ignores_press"`
	PressRateFactor       float64       `yaml:"press_rate_factor"`
	PressOvershoot        float64       `yaml:"press_overshoot"`
	CreepMMS              float64       `yaml:"creep_mm_s"`
	TorqueSignReversed    bool          `yaml:"torque_sign_reversed"`
}

// Brake is the holding brake: closed by springs or a permanent magnet, opened by its coil.
type Brake struct {
	StaticNM          float64       `yaml:"static_nm"`
	SlidingNM         float64       `yaml:"sliding_nm"`
	StribeckRPM       float64       `yaml:"stribeck_rpm"`
	Condition         float64       `yaml:"condition"`
	ResponseDelay     time.Duration `yaml:"response_delay"`
	RiseTime          time.Duration `yaml:"rise_time"`
	ReleaseTime       time.Duration `yaml:"release_time"`
	ReleaseDelay      time.Duration `yaml:"release_delay"`
	WindUpDeg         float64       `yaml:"wind_up_deg"`
	DampingRatio      float64       `yaml:"damping_ratio"`
	PlayDeg           float64       `yaml:"play_deg"`
	ClosesTo          float64       `yaml:"closes_to"`
	OpensTo           float64       `yaml:"opens_to"`
	Kind              string        `yaml:"kind"`
	MagnetStrength    float64       `yaml:"magnet_strength"`
	CoilVoltage       float64       `yaml:"coil_voltage"`
	PullInVoltage     float64       `yaml:"pull_in_voltage"`
	DropOutVoltage    float64       `yaml:"drop_out_voltage"`
	OutputStuckOn     bool          `yaml:"output_stuck_on"`
	HandRelease       float64       `yaml:"hand_release"`
	Feedback          string        `yaml:"feedback"`
	FeedbackSignal    string        `yaml:"feedback_signal"`
	ResidualVoltage   float64       `yaml:"residual_voltage"`
	CreepDegPerS      float64       `yaml:"creep_deg_per_s"`
	Adhesion          float64       `yaml:"adhesion"`
	Glaze             float64       `yaml:"glaze"`
	BedInJ            float64       `yaml:"bed_in_j"`
	GlazeReturnsTo    float64       `yaml:"glaze_returns_to"`
	GlazeReturnTime   time.Duration `yaml:"glaze_return_time"`
	NewGapMM          float64       `yaml:"new_gap_mm"`
	GapMM             float64       `yaml:"gap_mm"`
	GapLimitMM        float64       `yaml:"gap_limit_mm"`
	WearMMPerMJ       float64       `yaml:"wear_mm_per_mj"`
	FadeFromC         float64       `yaml:"fade_from_c"`
	FadePerK          float64       `yaml:"fade_per_k"`
	HeatCapacity      float64       `yaml:"heat_capacity_j_per_k"`
	ThermalResistance float64       `yaml:"thermal_resistance_k_per_w"`
	AmbientC          float64       `yaml:"ambient_c"`
	ExcessK           float64       `yaml:"excess_k"`
}

// SecondBrake is a second holding brake on the axis. A static torque of 0 means that there is
// none. Its torques, angles and speeds are those at its own shaft, as its data sheet gives them:
// at the motor shaft, or at the output of the gear, which turns once for gear_ratio turns of the
// motor.
type SecondBrake struct {
	Place           string `yaml:"place"`
	SwitchesSwapped bool   `yaml:"switches_swapped"`
	Brake           `yaml:",inline"`
}

// Exists reports whether the axis has a second brake.
func (b *SecondBrake) Exists() bool { return b.StaticNM > 0 }

// Encoder is the single-turn encoder on the motor shaft.
type Encoder struct {
	IncrementsPerTurn float64 `yaml:"increments_per_turn"`
	NoiseDeg          float64 `yaml:"noise_deg"`
	OffsetDeg         float64 `yaml:"offset_deg"`
	Scale             float64 `yaml:"scale"`
	DriftDegPerS      float64 `yaml:"drift_deg_per_s"`
	Frozen            bool    `yaml:"frozen"`
	Lost              bool    `yaml:"lost"`
	WrapErrorDeg      float64 `yaml:"wrap_error_deg"`
}

// Partner is a second shaft with a brake and a drive of its own, coupled to the axis.
// An inertia of 0 means that there is none.
type Partner struct {
	InertiaKGM2          float64       `yaml:"inertia_kg_m2"`
	CouplingStiffness    float64       `yaml:"coupling_stiffness_nm_per_rad"`
	CouplingDampingRatio float64       `yaml:"coupling_damping_ratio"`
	BacklashDeg          float64       `yaml:"coupling_backlash_deg"`
	DecoupleTime         time.Duration `yaml:"decouple_time"`
	DriveLimitNM         float64       `yaml:"drive_limit_nm"`
	DriveHolds           bool          `yaml:"drive_holds"`
	StaysCoupled         bool          `yaml:"stays_coupled"`
	ReportsDecoupled     bool          `yaml:"reports_decoupled"`
	Guide                Guide         `yaml:"guide"`
	Brake                Brake         `yaml:"brake"`
}

// Clock holds the cycle times of the lockstep and the time limits of link and run.
type Clock struct {
	Tick           time.Duration `yaml:"tick"`
	FunctionalScan time.Duration `yaml:"functional_scan"`
	SafetyScan     time.Duration `yaml:"safety_scan"`
	LinkDelayScans int           `yaml:"link_delay_scans"`
	LinkWatchdog   time.Duration `yaml:"link_watchdog"`
	RunLimit       time.Duration `yaml:"run_limit"`
}

// Test holds the criteria of the truth.
type Test struct {
	Factor      float64       `yaml:"factor"`
	DropLimitMM float64       `yaml:"drop_limit_mm"`
	HoldTime    time.Duration `yaml:"hold_time"`
}

// Judge is the engineering data of the safety-side check.
type Judge struct {
	// common to all kinds
	Kind            string        `yaml:"kind"`
	Directions      string        `yaml:"directions"`
	Dwell           time.Duration `yaml:"dwell"`
	Deadline        time.Duration `yaml:"deadline"`
	WindowDeg       float64       `yaml:"window_deg"`
	CeilingNM       float64       `yaml:"ceiling_nm"`
	TorqueConstant  float64       `yaml:"torque_constant_nm_per_rms_a"`
	FrozenAfter     time.Duration `yaml:"frozen_after"`
	OneBrakeAtATime bool          `yaml:"one_brake_at_a_time"`
	FailureEnds     string        `yaml:"failure_ends"`
	FailedBefore    bool          `yaml:"failed_before"`

	// the proof and its end
	Interval    time.Duration `yaml:"interval"`
	WarningTime time.Duration `yaml:"warning_time"`
	Lapse       string        `yaml:"lapse"`
	ProofLeft   time.Duration `yaml:"proof_left"`

	// of the kind torque
	RequiredDownNM float64 `yaml:"required_down_nm"`
	RequiredUpNM   float64 `yaml:"required_up_nm"`

	// of the kind current
	CurrentAs   string  `yaml:"current_as"`
	Sense       string  `yaml:"sense"`
	Requirement string  `yaml:"requirement"`
	RequiredA   float64 `yaml:"required_a"`

	Transducer        string  `yaml:"transducer"`
	CurrentGain       float64 `yaml:"current_gain"`
	CurrentOffsetRMSA float64 `yaml:"current_offset_rms_a"`
	CurrentNoiseRMSA  float64 `yaml:"current_noise_rms_a"`
}

// Safety is the engineering data of the stop functions of the safety side.
type Safety struct {
	StopTime  time.Duration `yaml:"stop_time"`
	BrakeTime time.Duration `yaml:"brake_time"`
	Reset     string        `yaml:"reset"`

	Guard         string  `yaml:"guard"`
	GuardSignal   string  `yaml:"guard_signal"`
	GuardForced   bool    `yaml:"guard_forced"`
	SetupSpeedMMS float64 `yaml:"setup_speed_mm_s"`
}

// The words that a rig may use for its options.
const (
	KindSpring = "spring" // closed by springs, opened by the pull of its coil
	KindMagnet = "magnet" // closed by a permanent magnet, opened by the coil that cancels it

	FeedbackSwitch = "switch" // a switch senses the armature
	FeedbackCoil   = "coil"   // command and current of the coil are read back
	FeedbackNone   = "none"   // a timer of the controller takes the place of a feedback

	SignalActual     = "actual"     // as the feedback senses it
	SignalClosed     = "closed"     // always closed
	SignalOpen       = "open"       // always open
	SignalChattering = "chattering" // the contact of the closed brake bounces
	SignalMissing    = "missing"    // wire break: both sides read open, as from a switch stuck at open

	CommutationEncoder = "encoder" // the drive takes the field angle of the motor from the encoder
	CommutationOwn     = "own"     // the motor has a commutation encoder of its own

	TransducerDrive = "drive" // the judge reads the current that the drive measures
	TransducerOwn   = "own"   // the judge measures the current itself

	PlaceMotor = "motor" // on the motor shaft
	PlaceLoad  = "load"  // behind the transmission

	ResetManual    = "manual"    // a person resets a stop once its demand is gone
	ResetAutomatic = "automatic" // a stop ends with its demand

	JudgeTorque  = "torque"  // the judge owns the required torque by direction, and estimates the torque
	JudgeCurrent = "current" // the judge compares a current with what the sequence sends, or with one value

	DirectionsDown = "down" // what a proof requires
	DirectionsUp   = "up"
	DirectionsBoth = "both"

	LapseSignal  = "signal"  // what a lapsed proof does: only a signal
	LapseInhibit = "inhibit" // operation is withheld from the next standstill on
	LapseStop    = "stop"    // it demands a stop, and operation is withheld

	FailureEndsAcknowledge = "acknowledge" // a failure stays until a person acknowledges it
	FailureEndsTest        = "test"        // a complete test that passes ends it as well

	CurrentAmplitude = "amplitude" // what the judge compares
	CurrentRMS       = "rms"

	GuardNone   = "none"
	GuardLocked = "locked" // an interlocking guard with guard locking

	SenseSigned    = "signed"    // the current must have the direction of the requirement
	SenseMagnitude = "magnitude" // only the magnitude of the current is evaluated

	RequirementDynamic = "dynamic" // the sequence sends the required current
	RequirementFixed   = "fixed"   // the judge uses its parameter required_a
)

// StandardGravity is the conventional acceleration of free fall in m/s² (third
// General Conference on Weights and Measures, 1901; ISO 80000-3:2019).
const StandardGravity = 9.80665

// Defaults returns a rig with the default of each optional value. Required values are
// zero, which [Validate] refuses.
func Defaults() Rig {
	return Rig{
		Load:         Load{InclineDeg: 90, GravityMS2: StandardGravity},
		Transmission: Transmission{GearRatio: 1, Efficiency: 1},
		Stops:        Stops{StiffnessNPerMM: 20000, DampingRatio: 0.5},
		Support:      Support{DampingRatio: 0.5},
		Guide:        defaultGuide(),
		Motor:        Motor{TorqueFactor: 1, PolePairs: 4, Commutation: CommutationEncoder},
		Drive: Drive{
			CurrentLag: time.Millisecond, PositionGainPerS: 30, SpeedBandwidthHz: 60,
			SpeedIntegralTime: 20 * time.Millisecond, SpeedFilter: time.Millisecond,
			StandstillRPM: 10, InPositionMM: 0.05, SwitchOnTime: 100 * time.Millisecond, Ready: true,
			CurrentGain: 1, PressRateFactor: 1, ThermalTime: time.Minute,
		},
		Brake:   defaultBrake(),
		Brake2:  SecondBrake{Place: PlaceMotor, Brake: defaultBrake()},
		Encoder: Encoder{IncrementsPerTurn: 16384, Scale: 1},
		Partner: Partner{
			Guide: defaultGuide(), Brake: defaultBrake(),
			CouplingStiffness: 500, CouplingDampingRatio: 0.3, DecoupleTime: 200 * time.Millisecond,
		},
		Clock: Clock{
			Tick: 250 * time.Microsecond, FunctionalScan: 2 * time.Millisecond,
			SafetyScan: 8 * time.Millisecond, LinkDelayScans: 1,
			LinkWatchdog: 100 * time.Millisecond, RunLimit: time.Minute,
		},
		Test:   Test{Factor: 1.3, DropLimitMM: 5, HoldTime: 5 * time.Minute},
		Safety: Safety{StopTime: time.Second, BrakeTime: 200 * time.Millisecond, Reset: ResetManual, Guard: GuardNone, SetupSpeedMMS: 15, GuardSignal: SignalActual},
		Judge: Judge{
			Dwell: time.Second, Deadline: 5 * time.Second, WindowDeg: 1, Interval: 8 * time.Hour,
			Kind: JudgeCurrent, Directions: DirectionsBoth, FailureEnds: FailureEndsAcknowledge,
			WarningTime: 15 * time.Minute, Lapse: LapseInhibit, CurrentAs: CurrentAmplitude,
			Sense: SenseSigned, Requirement: RequirementDynamic, Transducer: TransducerDrive, CurrentGain: 1,
			ProofLeft: 30 * time.Minute, OneBrakeAtATime: true,
		},
	}
}

func defaultGuide() Guide { return Guide{StribeckRPM: 10, WindUpDeg: 0.1, DampingRatio: 0.5} }

func defaultBrake() Brake {
	return Brake{
		StribeckRPM: 20, Condition: 1, WindUpDeg: 0.1, DampingRatio: 0.3,
		ClosesTo: 1, Feedback: FeedbackSwitch, FeedbackSignal: SignalActual, BedInJ: 500, GlazeReturnTime: 8 * time.Hour,
		Kind: KindSpring, MagnetStrength: 1, CoilVoltage: 1, PullInVoltage: 0.7, DropOutVoltage: 0.3,
		NewGapMM: 0.25, GapMM: 0.25, GapLimitMM: 0.5, WearMMPerMJ: 0.01,
		FadeFromC: 120, FadePerK: 0.002, HeatCapacity: 400, ThermalResistance: 1.5, AmbientC: 20,
	}
}
