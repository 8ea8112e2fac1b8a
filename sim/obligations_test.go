package sim_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sim"
)

// clumsy is a sequence with one state for each way to break an obligation; the
// parameter chooses the way.
const clumsy = `
sequence: clumsy
start: ready
params: {way: 0, load_torque_nm: 2.81}
states:
  ready:
    go:
      - {to: fall, when: trigger and way == 1}
      - {to: drop_brake, when: trigger and way == 2}
      - {to: passed, when: trigger and way == 3}
      - {to: wait, when: trigger and way == 4}
      - {to: strain, when: trigger and way == 5}
      - {to: left_open, when: trigger and way == 6}
      - {to: close_first, when: trigger and way == 7}
  fall:
    set: {drive: "off", operation: inhibited}
    go: [{to: failed, after: 300ms}]
  drop_brake:
    set: {brake: closed}
    go: [{to: unload, when: brake_closed, for: 100ms}]
  unload:
    set: {drive: press, press_torque_nm: 0, press_rate_nm_s: 20}
    go: [{to: open_unloaded, after: 500ms}]
  open_unloaded:
    set: {drive: hold, brake: open, operation: inhibited}
    go: [{to: failed, after: 500ms}]
  wait:
    set: {ask: none}
  strain:
    set: {drive: press, press_torque_nm: 20, press_rate_nm_s: 200, brake: closed}
    go: [{to: eased, after: 200ms}]
  eased:
    set: {drive: hold, operation: inhibited}
    go: [{to: failed, after: 100ms}]
  left_open:
    set: {drive: hold, torque_limit_nm: 5}
    go: [{to: failed, after: 100ms}]
  close_first:
    set: {brake: closed, operation: inhibited}
    go: [{to: fight, when: brake_closed, for: 100ms}]
  fight:
    set: {drive: move, target_mm: 300, torque_limit_nm: 5}
    go: [{to: failed, after: 500ms}]
  passed:
    set: {torque_limit_nm: 5}
  failed:
    set: {drive: hold, torque_limit_nm: 8}
ends: {passed: pass, failed: fail}
`

// Each obligation is broken by a way of its own, and says in
// which state and by how much.
func TestEveryObligationCanBeBroken(t *testing.T) {
	for _, c := range []struct {
		name, way string
		broken    map[string]string
	}{
		{"the drive goes off under the load", "1", map[string]string{
			sim.NoDrop: `load drop .* mm, limit 5 mm; first in state fall, by command of the controller: drive off, brake open`,
		}},
		{"the brake opens with no torque", "2", map[string]string{
			sim.Carried: `the brake was commanded to open 2\.8\d* N·m away from balance, limit 0\.4\d* N·m; in state open_unloaded`,
		}},
		{"it passes without asking and leaves a limit", "3", map[string]string{
			sim.FreshProof: `passed without a proof newer than the ask; in state passed`,
			sim.Restored:   `torque_limit_nm was "0" and is "5"; in state passed`,
		}},
		{"it waits for ever", "4", map[string]string{
			sim.Bounded: `not ended after 3 s; in state wait`,
		}},
		{"it presses past the ceiling", "5", map[string]string{
			sim.BelowCeiling: `motor torque 9\.35 N·m, ceiling 8\.5 N·m; first in state strain`,
		}},
		{"it fails and lets operation go on", "6", map[string]string{
			sim.LockedOut: `operation is allowed; in state failed`,
		}},
		{"it travels against the closed brake", "7", map[string]string{
			sim.NoFight: `travel with the brake 100 % closed; first in state fight`,
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := runClumsy(t, c.way)
			for _, o := range r.Obligations {
				pattern, broken := c.broken[o.Name]
				require.Equal(t, !broken, o.Kept, "%s: %s", o.Name, o.Detail)
				if broken {
					require.Regexp(t, "^"+pattern+"$", o.Detail)
					require.NotNil(t, o.AtS)
				}
			}
		})
	}
}

func runClumsy(t *testing.T, way string, faults ...sim.Fault) *sim.Result {
	t.Helper()
	return ranWithSequence(t, demo, clumsy, map[string]string{"sequence.way": way, "rig.clock.run_limit": "3s"}, faults...)
}

func TestObligationsAreNamedOnce(t *testing.T) {
	seen := map[string]bool{}
	for _, o := range sim.Obligations() {
		require.False(t, seen[o.Name])
		require.NotEmpty(t, o.Rule)
		seen[o.Name] = true
	}
}

// The judge's ceiling takes the torque away: SS1, then STO, whatever the sequence
// asks of the drive.
func TestOverTorqueStopsTheDrive(t *testing.T) {
	r := run(t, demo, map[string]string{"judge.ceiling_nm": "5"})
	require.Equal(t, sequence.CauseOverTorque, verdictCause(r))
	require.Equal(t, 1, count(r.Events, sim.EventDriveTorqueOff))
}

// verdictCause is why the judge failed the brake first, empty if it never did.
func verdictCause(r *sim.Result) string {
	for _, e := range r.Events {
		if e.Type == sim.EventFailed {
			return e.Cause
		}
	}
	return ""
}

// A brake that drags a little is for maintenance, and one that turns out to be closed must
// be noticed within a tenth of a second; who travels on against it breaks the obligation.
func TestNoFightLeavesTimeToSee(t *testing.T) {
	blind := map[string]string{"sequence.travel_torque_nm": "100", "sequence.load_tolerance_nm": "100"}
	for name, c := range map[string]struct {
		set    map[string]string
		opens  string
		lasts  time.Duration
		broken bool
	}{
		"drags by a twentieth, all the way":            {blind, "0.05", 0, false},
		"drags by a fifth, all the way":                {blind, "0.2", 0, true},
		"drags by a fifth for 80 ms":                   {blind, "0.2", 80 * time.Millisecond, false},
		"drags by a fifth for 300 ms":                  {blind, "0.2", 300 * time.Millisecond, true},
		"half closed, and the sequence stops":          {nil, "0.5", 0, false},
		"half closed, and the sequence does not check": {blind, "0.5", 0, true},
	} {
		r := faulted(t, c.set, sim.Fault{When: &sim.Moment{State: "travel", After: 500 * time.Millisecond}, For: c.lasts, Set: map[string]string{"brake.opens_to": c.opens}})
		require.Equal(t, c.broken, slices.Contains(brokenNames(r), sim.NoFight), "%s: %v", name, brokenNames(r))
	}
}
