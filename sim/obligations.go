package sim

import (
	"fmt"
	"math"
	"time"

	"holdbench/plant"
	"holdbench/sequence"
)

// Obligation is something that must hold in every run, and whether it did.
type Obligation struct {
	Name   string   `json:"name"`
	Kept   bool     `json:"kept"`   // it was not broken
	AtS    *float64 `json:"at_s"`   // when it was first broken
	Detail string   `json:"detail"` // in which state and by how much
	// NotJudged is why a run that is over does not show whether it was kept; empty if it does.
	NotJudged string `json:"not_judged,omitempty"`
}

// The obligations.
const (
	NoDrop       = "no-drop"
	Carried      = "carried"
	FreshProof   = "fresh-proof"
	Bounded      = "bounded"
	BelowCeiling = "below-ceiling"
	LockedOut    = "locked-out"
	NoFight      = "no-fight"
	Restored     = "restored"
	TorqueOff    = "torque-off"
)

// ObligationInfo describes an obligation for lists and help.
type ObligationInfo struct {
	Name, Rule string
}

// Obligations lists every obligation in the order in which runs report them.
func Obligations() []ObligationInfo {
	return []ObligationInfo{
		{NoDrop, "the load never drops more than the rig's limit, from the start of the run"},
		{Carried, "the brake opens only while the drive carries the load"},
		{FreshProof, "pass only on a proof newer than this run's ask"},
		{Bounded, "the run ends within its time limit"},
		{BelowCeiling, "from the start of the run to the pass of its test, the motor torque stays below the ceiling"},
		{LockedOut, "after a failure operation is inhibited and the load is supported"},
		{NoFight, "no travel against a closed brake, unless the state intends it"},
		{Restored, "after a pass, everything that was changed for the test is as before"},
		{TorqueOff, "after the demand of a stop torque is gone within its time, and stays gone until the reset"},
	}
}

// breach is when an obligation was broken first, and by how much at most.
type breach struct {
	broken  bool
	tick    int64
	state   string
	largest float64
	note    string // for breaches without a figure
}

// mark takes one breach of a size.
func (b *breach) mark(tick int64, state string, size float64) {
	if !b.broken {
		b.broken, b.tick, b.state = true, tick, state
	}
	b.largest = max(b.largest, size)
}

// monitors watch the obligations; watch is called every tick.
type monitors struct {
	drop                  dropGauge
	letGo                 letGo
	breaches              [9]breach // in the order of Obligations
	wasClosed, wasClosed2 bool      // brake commands of the tick before
	fightTicks            int64     // ticks of travel against a closed brake
	before                sequence.Outputs
	begun                 bool
	proofTick             int64 // of this run's newest proof, -1 if none
	askTick               int64 // of this run's newest ask, -1 if none
	peakNM                float64
	stopTick              int64 // in which a stop was demanded, -1 while none is
}

// The places of the obligations in breaches.
const (
	noDrop = iota
	carried
	freshProof
	bounded
	belowCeiling
	lockedOut
	noFight
	restored
	torqueOff
)

func newMonitors() monitors { return monitors{proofTick: -1, askTick: -1, stopTick: -1} }

// begin is called when the sequence leaves its first state; before is what it had set until
// then, or until the power failed.
func (m *monitors) begin(before sequence.Outputs) {
	m.begun = true
	if m.before == (sequence.Outputs{}) {
		m.before = before
	}
}

// watch looks at the truth of one tick. What has nothing to watch in most ticks is called in the
// others only.
func (m *monitors) watch(b *Bench) {
	if b.mayLetGo || m.letGo.now != "" {
		m.letGo.watch(b)
	}
	if down := m.drop.watch(b.plant); down > b.plant.Rig().Test.DropLimitMM {
		if !m.breaches[noDrop].broken {
			m.letGo.fell = m.letGo.now
		}
		m.breaches[noDrop].mark(b.tick, b.stateName(), down)
	}
	torque := math.Abs(b.plant.State().MotorTorqueNM)
	if torque > m.peakNM {
		m.peakNM = torque
	}
	if torque > b.plant.Rig().Judge.CeilingNM && b.end() != sequence.EndPass {
		m.breaches[belowCeiling].mark(b.tick, b.stateName(), torque)
	}
	if m.fightTicks != 0 || b.plant.Travelling() && (b.plant.State().Engagement > dragging || b.plant.Brake2State() != nil) {
		m.watchFight(b)
	}
	if m.stopTick >= 0 || b.operator.estop || b.safety.Out().SafeStop {
		m.watchTorqueOff(b, torque)
	}
}

// watchCommand looks at the brake commands once they have changed.
func (m *monitors) watchCommand(b *Bench) {
	if c := &b.command; c.CloseBrake != m.wasClosed || c.CloseBrake2 != m.wasClosed2 {
		m.watchOpening(b)
	}
}

// watchFight looks for travel against a brake that is more than a tenth closed: less is a
// dragging brake, which maintenance has to find. A sequence cannot detect before the travel
// that a brake commanded to open is closed, so it has some scans to detect it and to stop. If
// it commanded the brake to close, it has none.
func (m *monitors) watchFight(b *Bench) {
	const grace = 100 * time.Millisecond
	if !b.plant.Travelling() || b.slipsBrake {
		m.fightTicks = 0
		return
	}
	engagement, commanded := b.resisting()
	if engagement <= dragging {
		m.fightTicks = 0
		return
	}
	m.fightTicks++
	if commanded || m.fightTicks > ticksOf(grace, b.c.Rig.Clock.Tick) {
		m.breaches[noFight].mark(b.tick, b.stateName(), engagement)
	}
}

// CarryBandNM is how far from balance the motor torque may be, in N·m, for the drive to count as
// carrying the load: what the guide holds, and a tenth of the load torque.
func CarryBandNM(d *plant.Derived) float64 { return d.GuideBreakawayNM + float64(0.1*d.LoadTorqueNM) }

// watchOpening looks at the balance of the shaft when the open command comes: the motor must
// carry the load, except for what the guide holds and a tenth of the load, or the other of two
// brakes holds it. What rests on the support needs no motor.
func (m *monitors) watchOpening(b *Bench) {
	s, c := b.plant.State(), &b.command
	opens := m.wasClosed && !c.CloseBrake || m.wasClosed2 && !c.CloseBrake2
	m.wasClosed, m.wasClosed2 = c.CloseBrake, c.CloseBrake2
	if opens {
		away := math.Abs(s.MotorTorqueNM + s.LoadTorqueNM + s.SupportTorqueNM)
		unpowered := b.plant.DriveMode() == plant.Off && b.plant.SupportShare() < setDown
		if (unpowered || away > b.carryBandNM) && !b.holds(b.commandedClosed(), max(away, math.Abs(s.LoadTorqueNM))) {
			m.breaches[carried].mark(b.tick, b.stateName(), away)
		}
	}
}

// watchTorqueOff looks for torque in N·m after a stop, by the demand itself and not by what the
// safety side makes of it. The time is that of the rig as it was built; a safety scan passes until
// the demand is read, and the current decays with the time constant of its loop.
func (m *monitors) watchTorqueOff(b *Bench, torque float64) {
	const (
		constants = 7    // e^−7 is below a thousandth
		share     = 0.01 // of the torque limit of the drive, which counts as no torque
	)
	if !b.operator.estop && !b.safety.Out().SafeStop {
		m.stopTick = -1
		return
	}
	if m.stopTick < 0 {
		m.stopTick = b.tick
	}
	r := &b.c.Rig
	allowed := r.Safety.StopTime + r.Clock.SafetyScan + constants*r.Drive.CurrentLag
	if torque > share*b.driveLimitNM && b.tick-m.stopTick > ticksOf(allowed, r.Clock.Tick) {
		m.breaches[torqueOff].mark(b.tick, b.stateName(), torque)
	}
}

// finish checks what can be judged only at the end.
func (m *monitors) finish(b *Bench) {
	end := b.end()
	state := b.stateName()
	switch {
	case end == sequence.EndNone && (b.operator.powerLoss || b.scans.overrun): // no sequence runs that could end
	case end == sequence.EndNone:
		m.breaches[bounded].mark(b.tick, state, b.seconds(b.tick))
		if b.halted {
			m.breaches[bounded].note = fmt.Sprintf("cannot end, as the controller stopped after %.3g s; ", b.seconds(b.haltTick))
		}
	case end == sequence.EndPass:
		if m.proofTick < 0 || m.proofTick < m.askTick || b.proven != b.safety.Brakes() {
			m.breaches[freshProof].mark(b.endTick, state, 0)
		}
		if !b.halted {
			m.checkRestored(b, state)
		}
	}
	if b.endsLockedOut() {
		m.checkLockedOut(b, state, b.out)
	}
}

// controllerStops checks what depends on the outputs of a sequence that has ended, as its controller
// stops: from then on they are no longer its own, and it cannot change what it has left.
func (m *monitors) controllerStops(b *Bench) {
	switch {
	case !b.ended || b.halted:
	case b.end() == sequence.EndPass:
		m.checkRestored(b, b.stateName())
	case b.endsLockedOut():
		m.checkInhibited(b, b.stateName(), b.out)
	}
}

// endsLockedOut is whether the end must be as safe as after a failure.
func (b *Bench) endsLockedOut() bool {
	return b.end() == sequence.EndFail || b.end() == sequence.EndStop && b.brakeFailed()
}

// brakeFailed is whether the brake failed the check, or slipped by more than the judge's window
// whether that was detected or not: then a stop must be as safe as a failure.
func (b *Bench) brakeFailed() bool {
	slip := b.plant.State().SlipRad
	if second := b.plant.Brake2State(); second != nil {
		slip = max(slip, second.SlipRad)
	}
	return b.lastVerdict == failed || slip*180/math.Pi > b.plant.Rig().Judge.WindowDeg
}

// checkLockedOut looks at the axis at the end of a run, or when a lockout is left, with the outputs of
// that state.
func (m *monitors) checkLockedOut(b *Bench, state string, out sequence.Outputs) {
	m.checkInhibited(b, state, out)
	if why := b.unsupported(); why != "" {
		m.breaches[lockedOut].mark(b.endTick, state, 0)
		m.breaches[lockedOut].note += why
	}
}

func (m *monitors) checkInhibited(b *Bench, state string, out sequence.Outputs) {
	if out.Operation == sequence.OperationAllowed && !b.safety.Out().OperationInhibited {
		m.breaches[lockedOut].mark(b.endTick, state, 0)
		m.breaches[lockedOut].note = "operation is allowed; "
	}
}

// report turns the breaches into obligations.
func (m *monitors) report(b *Bench) []Obligation {
	infos := Obligations()
	list := make([]Obligation, len(infos))
	for i, info := range infos {
		list[i] = Obligation{Name: info.Name, Kept: !m.breaches[i].broken}
		if list[i].Kept && b.neverLeft() && ofEnd(i) {
			list[i].NotJudged = "the controller told no state but " + b.stateName() + ", and no end"
		}
		if m.breaches[i].broken {
			at := b.seconds(m.breaches[i].tick)
			list[i].AtS = &at
			list[i].Detail = m.detail(b, i)
		}
	}
	return list
}

// neverLeft is whether a run is over in which the controller has told nothing but the state at its
// start.
func (b *Bench) neverLeft() bool { return b.done && b.end() == sequence.EndNone && len(b.entries) == 1 }

// ofEnd is whether an obligation is judged by the end of the sequence.
func ofEnd(place int) bool { return place == freshProof || place == lockedOut || place == restored }

func (m *monitors) detail(b *Bench, i int) string {
	br := &m.breaches[i]
	in := " in state " + br.state
	r := b.plant.Rig()
	switch i {
	case noDrop:
		return fmt.Sprintf("load drop %.3g mm, limit %.3g mm; first%s%s", br.largest, r.Test.DropLimitMM, in, byCommand(m.letGo.fell))
	case carried:
		return fmt.Sprintf("the brake was commanded to open %.3g N·m away from balance, limit %.3g N·m;%s", br.largest, b.carryBandNM, in)
	case freshProof:
		return "passed without a proof" + ofEach(b.safety.Brakes()) + " newer than the ask;" + in
	case bounded:
		if br.note != "" {
			break
		}
		return fmt.Sprintf("not ended after %.3g s;%s", br.largest, in)
	case belowCeiling:
		return fmt.Sprintf("motor torque %.3g N·m, ceiling %.3g N·m; first%s", br.largest, r.Judge.CeilingNM, in)
	case torqueOff:
		return fmt.Sprintf("motor torque %.3g N·m later than safety.stop_time, %v, after the demand of a stop; first%s", br.largest, b.c.Rig.Safety.StopTime, in)
	case noFight:
		return fmt.Sprintf("travel with the brake %.0f %% closed; first%s", 100*br.largest, in)
	}
	return br.note + in[1:]
}
