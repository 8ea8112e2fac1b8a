package sequence

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// termsOf compiles a condition with a few parameters and returns its terms.
func termsOf(tb testing.TB, text string, in *Inputs) []Term {
	tb.Helper()
	e, err := ParseExpr(text)
	require.NoError(tb, err)
	s := newScope()
	for name, value := range map[string]float64{"goal_mm": 420, "near_mm": 0.05, "load_nm": 2.8, "limit_a": 1.0799, "wait_s": 28800} {
		s.add(name, symbol{kind: KindNumber, unit: UnitOf(name), code: fixedNumber(value)})
	}
	s.add("coupled", symbol{kind: KindBoolean, code: fixedBoolean(false)})
	require.Empty(tb, s.check(e, KindBoolean))
	e.terms = func() []term { return s.terms(e) }
	return e.live(in)
}

// lines writes terms as a screen would, so that a table can be read.
func lines(terms []Term) []string {
	var list []string
	for _, t := range terms {
		mark := "-"
		if t.Met {
			mark = "+"
		}
		line := strings.Repeat("  ", t.Depth) + mark + " " + t.Text
		if t.Op != "" {
			line += " | " + t.Left + " " + t.Op + " " + t.Right
		}
		if t.Join != "" {
			line += " | " + t.Join
		}
		if t.Group != "" {
			line += " of"
		}
		list = append(list, line)
	}
	return list
}

func TestTerms(t *testing.T) {
	t.Parallel()
	in := Inputs{
		Trigger: true, PositionMM: 420.0312, Speed: -0.00125, TorqueNM: 3.64, CurrentRMSA: 2,
		Standstill: true, JudgeCause: CauseMoved, ProofLeftS: 28799.996,
	}
	tests := []struct {
		text string
		want []string
	}{
		{"trigger", []string{"+ trigger"}},
		{"not trigger", []string{"- not trigger"}},
		{"!trigger", []string{"- !trigger"}},
		{"not !trigger", []string{"+ not !trigger"}},
		{"coupled", []string{"- coupled"}},
		{"true", []string{"+ true"}},
		{"(( trigger ))", []string{"+ trigger"}},
		{"trigger ? cancel : proof", []string{"- trigger ? cancel : proof"}},
		{"abs(position_mm - goal_mm) <= near_mm and standstill", []string{
			"+ abs(position_mm - goal_mm) <= near_mm | 0.0312 mm <= 0.05 mm | and", "+ standstill | and",
		}},
		{"(trigger and cancel) && ((proof and standstill))", []string{
			"+ trigger | and", "- cancel | and", "- proof | and", "+ standstill | and",
		}},
		{"trigger or cancel or proof", []string{"+ trigger | or", "- cancel | or", "- proof | or"}},
		{"trigger and (cancel or not coupled) and not proof", []string{
			"+ trigger | and", "+ cancel or not coupled | and of", "  - cancel | or", "  + not coupled | or", "+ not proof | and",
		}},
		{"not trigger and standstill or cancel", []string{
			"- not trigger and standstill | or of", "  - not trigger | and", "  + standstill | and", "- cancel | or",
		}},
		{"trigger and (cancel or (proof and (estop or standstill)))", []string{
			"+ trigger | and", "- cancel or (proof and (estop or standstill)) | and of", "  - cancel | or",
			"  - proof and (estop or standstill) | or of", "    - proof | and",
			"    + estop or standstill | and of", "      - estop | or", "      + standstill | or",
		}},
		{"(trigger or cancel) and (proof or estop)", []string{
			"+ trigger or cancel | and of", "  + trigger | or", "  - cancel | or",
			"- proof or estop | and of", "  - proof | or", "  - estop | or",
		}},
		// A not is applied within the brackets.
		{"not (trigger and cancel)", []string{"- not trigger | or", "+ not cancel | or"}},
		{"not (trigger or not cancel or abs(speed) < 1)", []string{
			"- not trigger | and", "- cancel | and", "- not (abs(speed) < 1) | 0.00125 mm/s >= 1 mm/s | and",
		}},
		{"standstill and !(trigger and (cancel or proof))", []string{
			"+ standstill | and", "+ !(trigger and (cancel or proof)) | and of", "  - not trigger | or",
			"  + not (cancel or proof) | or of", "    + not cancel | and", "    + not proof | and",
		}},
		{"not (position_mm > 3)", []string{"- not (position_mm > 3) | 420 mm <= 3 mm"}},
		{"not (not (trigger ? cancel : proof) and estop)", []string{"- trigger ? cancel : proof | or", "+ not estop | or"}},
		{"not trigger == cancel", []string{"+ not trigger == cancel | false == false"}},
		// Values.
		{"judge_cause == \"moved\"", []string{`+ judge_cause == "moved" | moved == moved`}},
		{"judge_cause != \"\"", []string{`+ judge_cause != "" | moved != ""`}},
		{"\"no-dwell\" == judge_cause", []string{`- "no-dwell" == judge_cause | moved == no-dwell`}},
		{"trigger != coupled", []string{"+ trigger != coupled | true != false"}},
		{"torque_nm >= 1.3 * load_nm", []string{"+ torque_nm >= 1.3 * load_nm | 3.64 N·m >= 3.64 N·m"}},
		{"amplitude(current_rms_a) > limit_a", []string{"+ amplitude(current_rms_a) > limit_a | 2.828 A > 1.08 A"}},
		{"rms(limit_a) < current_rms_a", []string{"+ rms(limit_a) < current_rms_a | 2 A rms > 0.7636 A rms"}},
		{"near_mm >= speed * in_state_s", []string{"+ near_mm >= speed * in_state_s | 0 mm <= 0.05 mm"}},
		{"goal_mm < 3", []string{"- goal_mm < 3 | 420 mm < 3 mm"}},
		{"proof_left_s >= wait_s", []string{"- proof_left_s >= wait_s | 28799.996 s >= 28800 s"}},
		{"sign(speed) == -1", []string{"+ sign(speed) == -1 | -1 == -1"}},
		{"1 / in_state_s > 5", []string{"+ 1 / in_state_s > 5 | infinite 1/s > 5 1/s"}},
		{"in_state_s / in_state_s != 1", []string{"+ in_state_s / in_state_s != 1 | no number != 1"}},
		// As written, but for gaps.
		{"trigger\n  and  proof_left_s>=1e3 // seconds", []string{"+ trigger | and", "+ proof_left_s>=1e3 | 28800 s >= 1000 s | and"}},
	}
	for _, test := range tests {
		t.Run(test.text, func(t *testing.T) {
			t.Parallel()
			assert.Equal(t, test.want, lines(termsOf(t, test.text, &in)))
		})
	}
}

func TestFigures(t *testing.T) {
	t.Parallel()
	for want, v := range map[string]float64{
		"0": 0, "0.00123": 0.00123, "0.0312": 0.0312, "-0.05": -0.05, "2.828": 2.8284271, "420": 420.031,
		"420.1": 420.1, "1000": 1000, "28800": 28800, "1234568": 1234567.8, "0.000001234": 1.234e-6, "1.234e-07": 1.234e-7, "1e+15": 1e15,
	} {
		assert.Equal(t, want, figures(v, fewFigures))
	}
}

// together combines terms by Depth, Join and Group alone, and checks every group
// against its parts on the way.
func together(t require.TestingT, terms []Term) bool {
	met := terms[0].Join != opOr
	for i := 0; i < len(terms); {
		end := i + 1
		for end < len(terms) && terms[end].Depth > terms[i].Depth {
			end++
		}
		require.Equal(t, terms[i].Group != "", end > i+1, "a group has parts, and nothing else has")
		if end > i+1 {
			require.Equal(t, terms[i].Depth+1, terms[i+1].Depth)
			require.Equal(t, terms[i].Group, terms[i+1].Join)
			require.Equal(t, terms[i].Met, together(t, terms[i+1:end]), terms[i].Text)
		}
		require.Equal(t, terms[0].Join, terms[i].Join, "siblings are joined alike")
		require.Equal(t, terms[0].Depth, terms[i].Depth)
		if terms[0].Join == opOr {
			met = met || terms[i].Met
		} else {
			met = met && terms[i].Met
		}
		i = end
	}
	return met
}

// The terms of any condition combine to its value, and the text of each is an expression
// with the term's value.
func TestTermsOfAnyCondition(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text, in := drawBoolean(t, 4), drawInputs(t)
		e, err := ParseExpr(text)
		require.NoError(t, err)
		s := newScope()
		c := checker{scope: s}
		require.Equal(t, KindBoolean, c.kind(e.Node))
		e.terms = func() []term { return s.terms(e) }
		terms := e.live(&in)
		require.NotEmpty(t, terms)
		require.Zero(t, terms[0].Depth)
		require.Equal(t, s.compile(e.Node).boolean(&in), together(t, terms), "%s: %v", text, lines(terms))
		for _, term := range terms {
			again, err := ParseExpr(term.Text)
			require.NoError(t, err, term.Text)
			require.Equal(t, s.compile(again.Node).boolean(&in), term.Met, "%s in %s", term.Text, text)
		}
	})
}

// In every state of the reference, whatever the inputs were until then.
func TestTermsOfReference(t *testing.T) {
	t.Parallel()
	p := program(t, string(Reference()))
	rapid.Check(t, func(t *rapid.T) {
		m := NewMachineAt(p, scan, rapid.IntRange(0, len(p.states)-1).Draw(t, "state"))
		var out Outputs
		for range rapid.IntRange(1, 20).Draw(t, "scans") {
			in := drawReferenceInputs(t)
			_, err := m.Scan(&in, &out)
			require.NoError(t, err)
		}
		for _, c := range m.Waiting() {
			require.Equal(t, c.Text == "", len(c.Terms) == 0)
			if len(c.Terms) == 0 {
				continue
			}
			require.Equal(t, c.Met, together(t, c.Terms), "%s: %v", c.Text, lines(c.Terms))
			if !strings.Contains(c.Text, " or ") && !strings.Contains(c.Text, "not (") {
				all := true
				for _, term := range c.Terms {
					require.Zero(t, term.Depth)
					all = all && term.Met
				}
				require.Equal(t, c.Met, all, c.Text)
			}
		}
	})
}

func drawReferenceInputs(t *rapid.T) Inputs {
	yes := func(name string) bool { return rapid.Bool().Draw(t, name) }
	number := func(name string, some ...float64) float64 { return rapid.SampledFrom(some).Draw(t, name) }
	return Inputs{
		Trigger: yes("trigger"), Cancel: yes("cancel"), Estop: yes("estop"), DriveReady: yes("ready"),
		DriveOn: yes("on"), DriveFault: yes("fault"), Standstill: yes("standstill"), BrakeClosed: yes("closed"),
		PartnerCoupled: yes("coupled"), JudgeBusy: yes("busy"), Proof: yes("proof"), JudgeFailed: yes("failed"),
		JudgeCause: rapid.SampledFrom(JudgeCauses()).Draw(t, "cause"),
		PositionMM: number("position", 420, 420.04, 423, 20, 0), TorqueNM: number("torque", 2.8, -0.9, 6.9, 0),
		ProofLeftS: number("left", 0, 28790, 28799.8, 28800),
	}
}

// What is displayed before the travel and before the verdict.
func TestTermsInReference(t *testing.T) {
	t.Parallel()
	p := program(t, string(Reference()))
	waiting := func(state, event string, in Inputs) []string {
		at, ok := p.About().StateIndex(state)
		require.True(t, ok)
		m := NewMachineAt(p, scan, at)
		_, err := m.Scan(&in, &Outputs{})
		require.NoError(t, err)
		require.Equal(t, state, m.State())
		for _, c := range m.Waiting() {
			if c.Event == event {
				return lines(c.Terms)
			}
		}
		return nil
	}
	assert.Equal(t, []string{
		"- abs(position_mm - test_position_mm) <= in_position_mm | 219.9 mm <= 0.05 mm | and", "- standstill | and",
	}, waiting("travel", "travel/4", Inputs{GuardClosed: true, DriveOn: true, DriveReady: true, PositionMM: 200.123}))
	assert.Equal(t, []string{
		"- standstill | and", "+ not brake_closed | and",
		"+ partner_coupled or not coupled | and of", "  - partner_coupled | or", "  + not coupled | or",
	}, waiting("permissives", "permissives/6", Inputs{GuardClosed: true, DriveOn: true, DriveReady: true}))
	assert.Equal(t, []string{
		"- test_count != count_before | 0 != 0 | and", `- tested == "down" | none == down | and`,
	}, waiting("verdict_down", "verdict_down/3", Inputs{GuardClosed: true, DriveOn: true, DriveReady: true, JudgeBusy: true, Tested: "none"}))
	assert.Equal(t, []string{
		"- judge_failed | and", "- test_count != count_before | 0 != 0 | and", `+ tested == "none" | none == none | and`,
	}, waiting("verdict_down", "verdict_down/0", Inputs{GuardClosed: true, DriveOn: true, DriveReady: true, JudgeBusy: true, Tested: "none", JudgeCause: CauseNoDwell}))
}

// What is negligible beside its limit is 0, and what is not has figures without a power of ten.
func TestNegligibleSides(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		l, r        float64
		left, right string
	}{
		{1.356e-5, 0.05, "0", "0.05"},
		{-5.241e-5, 0.1405, "0", "0.1405"},
		{600, 0.05, "600", "0.05"},
		{60000, 0.05, "60000", "0.05"},
		{0.05, 1e-12, "0.05", "0"},
		{6.3e-5, 0.05, "0.000063", "0.05"},
		{1.356e-5, 0, "0.00001356", "0"},
		{9.5, 28800, "9.5", "28800"},
		{0.5, 28800, "0", "28800"},
	} {
		left, right := sides(c.l, c.r, Unit{})
		assert.Equal(t, []string{c.left, c.right}, []string{left, right})
	}
}

// The two sides read the same only if they are equal, except for rounding.
func TestSidesToldApart(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := rapid.Float64Range(-1e6, 1e6).Draw(t, "left")
		r := rapid.OneOf(rapid.Float64Range(-1e6, 1e6), rapid.Just(l), rapid.Just(l*(1+1e-6))).Draw(t, "right")
		left, right := sides(l, r, Unit{})
		if l == r {
			require.Equal(t, left, right)
		}
		if left == right {
			require.InDelta(t, l, r, 1e-9*max(math.Abs(l), math.Abs(r)))
		}
	})
}
