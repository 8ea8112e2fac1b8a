package sequence

import (
	"fmt"
	"math"
)

// fake answers the reference sequence as a plant and a judge would, without any
// physics. Its switches are the faults.
type fake struct {
	in  Inputs
	was Outputs

	load         float64 // N·m
	maxTorque    float64 // what the drive can do
	stuckOpen    bool    // the brake feedback stays open
	stuckShut    bool    // the brake feedback stays closed
	blocked      bool    // the axis does not move
	restless     bool    // it is never at standstill
	numb         bool    // the torque stays as it is
	pulls        bool    // the drive pulls at the closed brake while it holds
	lighter      bool    // a part of the load is gone once the brake is open
	drops        bool    // the load runs down, faster than any move
	slip         float64 // mm a scan under a press below the load
	judgeMute    bool
	judgeSlow    bool
	verdict      string // "" gives a proof
	verdicts     []string
	noProof      bool // busy goes away without a word
	oneDirection bool // of the judge, gives a proof
	tied         bool // the partner does not follow
	slides       bool // the load runs down whatever the brake does
	overTorque   bool // the judge demands a stop
	stays        bool // the torque stays on after a stop
	resetAfter   int  // scans from a stop to its reset, 0 for never
	stopFor      int
	brakeFor     int
	askFor       int
	coupleFor    int
	scans        int
	obeys        bool    // the drive switches on and off as commanded
	support      float64 // mm, where the load rests on something; 0 for nowhere
	wall         float64 // mm, where something stops the axis on its way up; 0 for nowhere
	freezes      bool    // the reading of the current stands still
	violations   []string
}

func newFake() *fake {
	f := &fake{load: 2.8, maxTorque: 10}
	f.in = Inputs{
		DriveReady: true, DriveOn: true, PositionMM: 200, TorqueNM: 2.8,
		Standstill: true, PartnerCoupled: true, GuardClosed: true, Tested: "none", StopCause: StopNone,
	}
	f.was = DefaultOutputs()
	return f
}

const fakeScanS = 0.002

// step computes the inputs of the next scan from the outputs of this one.
func (f *fake) step(out Outputs, slipsBrake bool) {
	f.stop(&out)
	f.watch(&out, slipsBrake)
	f.brake(&out)
	f.drive(&out)
	f.couple(&out)
	f.judge(&out)
	f.was = out
}

// carried is what the motor has to carry; nothing of a load that lies on its support.
func (f *fake) carried() float64 {
	if f.in.PositionMM < f.support {
		return 0
	}
	return f.load
}

// watch checks the two rules that must hold in every scan.
func (f *fake) watch(out *Outputs, slipsBrake bool) {
	if f.was.Brake == BrakeClosed && out.Brake == BrakeOpen && math.Abs(f.in.TorqueNM-f.carried()) > 0.3 {
		f.violations = append(f.violations, fmt.Sprintf("brake opened on %g N·m", f.in.TorqueNM))
	}
	if out.Drive == DriveMove && out.Brake == BrakeClosed && !slipsBrake {
		f.violations = append(f.violations, "travel against the closed brake")
	}
}

// stop is the safety side: it overrides the outputs from a demand to its reset. The news is 8 scans
// late; the brake closes after 400, the torque is gone after 500.
func (f *fake) stop(out *Outputs) {
	if f.stopFor == 0 && !f.in.Estop && !f.overTorque {
		return
	}
	f.stopFor++
	if f.resetAfter > 0 && f.stopFor > f.resetAfter {
		f.in.Estop, f.overTorque, f.stopFor = false, false, 0
		f.in.SafeStop, f.in.ResetNeeded = false, false
		return
	}
	f.in.SafeStop = f.stopFor > 8
	if f.stopFor > 400 || f.was.Brake == BrakeClosed {
		out.Brake = BrakeClosed
	}
	switch {
	case f.stopFor <= 500 || f.stays:
		out.Drive = DriveHold
	default:
		out.Drive = DriveOff
		f.in.DriveOn, f.in.DriveReady, f.in.TorqueNM = false, false, 0
	}
}

func (f *fake) brake(out *Outputs) {
	f.brakeFor++
	if out.Brake != f.was.Brake {
		f.brakeFor = 0
	}
	if f.brakeFor >= 25 {
		f.in.BrakeClosed = out.Brake == BrakeClosed
	}
	if f.lighter && !f.in.BrakeClosed {
		f.load = 2.3
	}
	f.in.BrakeClosed = (f.in.BrakeClosed || f.stuckShut) && !f.stuckOpen
}

func (f *fake) drive(out *Outputs) {
	before := f.in.PositionMM
	if f.stopFor == 0 && f.obeys {
		f.in.DriveOn = out.Drive != DriveOff
	}
	switch out.Drive {
	case DriveMove:
		f.move(out)
	case DrivePress:
		f.press(out)
	case DriveHold:
		switch {
		case !f.in.BrakeClosed:
			f.in.TorqueNM = f.load
		case f.pulls:
			f.in.TorqueNM = f.load + 2
		}
	}
	f.in.Speed = 0
	if f.drops && !f.in.BrakeClosed || f.slides && !f.in.DriveOn {
		f.in.Speed = -300
	}
	f.in.Standstill = math.Abs(f.in.PositionMM-before) < 1e-4 && !f.restless && f.in.Speed == 0
	f.in.InPosition = out.Drive == DriveMove && f.in.PositionMM == out.TargetMM
	f.noise()
}

// noise lets the reading of the current change by its last digit in each scan.
func (f *fake) noise() {
	const digit = 1e-6 // N·m
	if f.freezes {
		return
	}
	f.scans++
	f.in.TorqueNM += digit * float64(1-2*(f.scans%2))
}

func (f *fake) move(out *Outputs) {
	f.in.TorqueNM = f.load
	if f.in.PositionMM < f.support {
		f.in.TorqueNM = -1
	}
	speed := 150.0
	if out.MoveSpeed > 0 {
		speed = out.MoveSpeed
	}
	way := out.TargetMM - f.in.PositionMM
	if f.wall > 0 && f.in.PositionMM >= f.wall && way > 0 {
		f.in.TorqueNM = f.load + 3
		return
	}
	if !f.blocked {
		f.in.PositionMM += math.Copysign(min(math.Abs(way), speed*fakeScanS), way)
	}
}

func (f *fake) press(out *Outputs) {
	if f.numb {
		return
	}
	want := min(max(out.PressTorqueNM, -f.maxTorque), f.maxTorque)
	if out.TorqueLimitNM > 0 {
		want = min(max(want, -out.TorqueLimitNM), out.TorqueLimitNM)
	}
	way := want - f.in.TorqueNM
	step := out.PressRateNMS * fakeScanS
	if step == 0 {
		step = math.Abs(way) // at once
	}
	f.in.TorqueNM += math.Copysign(min(math.Abs(way), step), way)
	if f.in.TorqueNM < f.load-0.5 {
		f.in.PositionMM -= f.slip
	}
	if f.wall > 0 && !f.in.BrakeClosed {
		f.in.PositionMM -= 1e-5 // it springs back
	}
}

func (f *fake) couple(out *Outputs) {
	f.coupleFor++
	if out.Decouple != f.was.Decouple {
		f.coupleFor = 0
	}
	if f.coupleFor >= 20 && !f.tied {
		f.in.PartnerCoupled = !out.Decouple
	}
}

func (f *fake) judge(out *Outputs) {
	f.in.ProofLeftS = max(f.in.ProofLeftS-fakeScanS, 0)
	f.in.Proof = f.in.ProofLeftS > 0
	if !f.in.BrakeClosed {
		f.in.Tested = "none"
	}
	if out.Ask == AskNone {
		f.askFor = 0
		f.in.JudgeBusy = false
		return
	}
	f.askFor++
	switch {
	case f.judgeMute:
	case f.askFor == 8:
		f.in.JudgeBusy = true
	case f.askFor == 508 && !f.judgeSlow:
		f.in.JudgeBusy = false
		f.conclude(out.Ask)
	}
}

func (f *fake) conclude(ask Ask) {
	verdict := f.verdict
	if len(f.verdicts) > 0 {
		verdict, f.verdicts = f.verdicts[0], f.verdicts[1:]
	}
	switch {
	case f.noProof:
	case verdict == "":
		f.in.TestCount++
		f.passed(ask)
	default:
		f.in.TestCount++
		f.in.JudgeFailed, f.in.JudgeCause, f.in.Tested = true, verdict, "none"
		f.in.Proof, f.in.ProofLeftS = false, 0
	}
}

// passed is a direction that the judge has passed; it gives a proof once each required one has.
func (f *fake) passed(ask Ask) {
	before := f.in.Tested
	if before == ask.String() || before == "both" || before == "" {
		before = "none"
	}
	f.in.Tested = "both"
	if before == "none" {
		f.in.Tested = ask.String()
	}
	if f.in.Tested == "both" || f.oneDirection {
		f.in.JudgeFailed, f.in.JudgeCause = false, CauseNone
		f.in.Proof, f.in.ProofLeftS = true, 28800
	}
}
