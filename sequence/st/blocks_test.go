package st_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The timing diagrams of the standard timers (IEC 61131-3, figure "Standard timers - timing
// diagrams", from memory), a scan of 1 ms a column, PT three of them, ET in ms.
func TestTimingDiagrams(t *testing.T) {
	t.Parallel()
	for _, d := range []struct{ block, in, q, et string }{
		{
			block: "TON", // a long signal, one shorter than PT, one just as long
			in:    "..######..##...####.",
			q:     ".....###..........#.",
			et:    "00012333000100001230",
		},
		{
			block: "TOF", // ET stands at PT until IN rises; a short pause starts the time anew
			in:    "..##........##.#....",
			q:     "..#####.....#######.",
			et:    "00000123333300000123",
		},
		{
			block: "TP", // longer than PT, shorter than PT, twice within PT, and after it
			in:    "..######...#......#.#..#.....",
			q:     "..###......###....###..###...",
			et:    "00012333000012000001200012000",
		},
	} {
		m := machine(t, "PROGRAM p VAR_INPUT i : BOOL; END_VAR VAR t : "+d.block+"; END_VAR t(IN := i, PT := T#3ms); END_PROGRAM")
		var q, et strings.Builder
		for _, c := range d.in {
			m.set("i", c == '#')
			m.scan()
			q.WriteString(map[string]string{"TRUE": "#", "FALSE": "."}[m.get("t.Q")])
			fmt.Fprint(&et, m.Time(m.ref("t.ET")).Milliseconds())
		}
		require.Equal(t, d.q, q.String(), d.block)
		require.Equal(t, d.et, et.String(), d.block)
	}
}

// A timer takes the time of the scan, however long the scans are, and PT as it is in each call.
func TestTimersWithUnevenScans(t *testing.T) {
	t.Parallel()
	m := machine(t, `PROGRAM p VAR_INPUT pt : TIME := T#10ms; END_VAR VAR t : TON; END_VAR t(IN := TRUE, PT := pt); END_PROGRAM`)
	for _, at := range []time.Duration{0, 4 * time.Millisecond, 9999 * time.Microsecond} {
		require.NoError(t, m.Scan(at))
		require.Equal(t, "FALSE", m.get("t.Q"))
	}
	require.NoError(t, m.Scan(10*time.Millisecond))
	require.Equal(t, "TRUE", m.get("t.Q"))
	m.set("pt", 20*time.Millisecond)
	require.NoError(t, m.Scan(12*time.Millisecond))
	require.Equal(t, "FALSE", m.get("t.Q"))
	require.Equal(t, "T#12ms", m.get("t.ET"))
	m.set("pt", -time.Second)
	require.NoError(t, m.Scan(13*time.Millisecond))
	require.Equal(t, "TRUE", m.get("t.Q"))
	require.ErrorContains(t, m.Scan(12*time.Millisecond), "goes back")
}

// The truth tables of the bistable blocks (IEC 61131-3, standard bistable function blocks, from
// memory): SR lets the set input win, RS the reset input.
func TestBistables(t *testing.T) {
	t.Parallel()
	m := machine(t, `PROGRAM p VAR_INPUT s, r : BOOL; END_VAR VAR a : SR; b : RS; END_VAR a(S1 := s, R := r); b(S := s, R1 := r); END_PROGRAM`)
	for _, c := range []struct {
		s, r   bool
		sr, rs string
	}{
		{false, false, "FALSE", "FALSE"}, {true, false, "TRUE", "TRUE"}, {false, false, "TRUE", "TRUE"},
		{false, true, "FALSE", "FALSE"}, {false, false, "FALSE", "FALSE"}, {true, true, "TRUE", "FALSE"},
	} {
		m.set("s", c.s)
		m.set("r", c.r)
		m.scan()
		require.Equal(t, c.sr, m.get("a.Q1"), c)
		require.Equal(t, c.rs, m.get("b.Q1"), c)
	}
}

// R_TRIG reports a CLK that is TRUE in its first scan, F_TRIG one that is FALSE (the note to the
// edge detection blocks of the standard, from memory).
func TestEdges(t *testing.T) {
	t.Parallel()
	for _, d := range []struct{ block, clk, q string }{
		{"R_TRIG", "..##.#", "..#..#"}, {"R_TRIG", "##", "#."},
		{"F_TRIG", "##..#.", "..#..#"}, {"F_TRIG", "..#.", "#..#"},
	} {
		m := machine(t, "PROGRAM p VAR_INPUT c : BOOL; END_VAR VAR e : "+d.block+"; END_VAR e(CLK := c); END_PROGRAM")
		var q strings.Builder
		for _, c := range d.clk {
			m.set("c", c == '#')
			m.scan()
			q.WriteString(map[string]string{"TRUE": "#", "FALSE": "."}[m.get("e.Q")])
		}
		require.Equal(t, d.q, q.String(), "%s %s", d.block, d.clk)
	}
}

// The bodies that the standard gives its function blocks (IEC 61131-3, tables of the standard
// function blocks, from memory), with the edges of CU and CD written out and PVmin, PVmax of SINT
// so that both limits are reached.
const standardBodies = `
FUNCTION_BLOCK MY_SR VAR_INPUT S1, R : BOOL; END_VAR VAR_OUTPUT Q1 : BOOL; END_VAR
Q1 := S1 OR (NOT R AND Q1);
END_FUNCTION_BLOCK
FUNCTION_BLOCK MY_RS VAR_INPUT S, R1 : BOOL; END_VAR VAR_OUTPUT Q1 : BOOL; END_VAR
Q1 := NOT R1 AND (S OR Q1);
END_FUNCTION_BLOCK
FUNCTION_BLOCK MY_R_TRIG VAR_INPUT CLK : BOOL; END_VAR VAR_OUTPUT Q : BOOL; END_VAR VAR M : BOOL; END_VAR
Q := CLK AND NOT M; M := CLK;
END_FUNCTION_BLOCK
FUNCTION_BLOCK MY_F_TRIG VAR_INPUT CLK : BOOL; END_VAR VAR_OUTPUT Q : BOOL; END_VAR VAR M : BOOL; END_VAR
Q := NOT CLK AND NOT M; M := NOT CLK;
END_FUNCTION_BLOCK
FUNCTION_BLOCK MY_CTU VAR_INPUT CU, R : BOOL; PV : INT; END_VAR VAR_OUTPUT Q : BOOL; CV : INT; END_VAR VAR E : MY_R_TRIG; END_VAR
E(CLK := CU);
IF R THEN CV := 0;
ELSIF E.Q AND (CV < 32767) THEN CV := CV + 1;
END_IF;
Q := (CV >= PV);
END_FUNCTION_BLOCK
FUNCTION_BLOCK MY_CTD VAR_INPUT CD, LD : BOOL; PV : INT; END_VAR VAR_OUTPUT Q : BOOL; CV : INT; END_VAR VAR E : MY_R_TRIG; END_VAR
E(CLK := CD);
IF LD THEN CV := PV;
ELSIF E.Q AND (CV > -32768) THEN CV := CV - 1;
END_IF;
Q := (CV <= 0);
END_FUNCTION_BLOCK
FUNCTION_BLOCK MY_CTUD VAR_INPUT CU, CD, R, LD : BOOL; PV : INT; END_VAR VAR_OUTPUT QU, QD : BOOL; CV : INT; END_VAR VAR U, D : MY_R_TRIG; END_VAR
U(CLK := CU); D(CLK := CD);
IF R THEN CV := 0;
ELSIF LD THEN CV := PV;
ELSE
  IF NOT (U.Q AND D.Q) THEN
    IF U.Q AND (CV < 32767) THEN CV := CV + 1;
    ELSIF D.Q AND (CV > -32768) THEN CV := CV - 1;
    END_IF; (* of the edges *)
  END_IF; (* not both *)
END_IF;
QU := (CV >= PV);
QD := (CV <= 0);
END_FUNCTION_BLOCK
PROGRAM compare
VAR_INPUT a, b, c, d : BOOL; pv : INT; END_VAR
VAR_OUTPUT same : BOOL; END_VAR
VAR
  sr1 : SR; sr2 : MY_SR; rs1 : RS; rs2 : MY_RS; r1 : R_TRIG; r2 : MY_R_TRIG; f1 : F_TRIG; f2 : MY_F_TRIG;
  u1 : CTU; u2 : MY_CTU; d1 : CTD; d2 : MY_CTD; b1 : CTUD; b2 : MY_CTUD;
END_VAR
sr1(S1 := a, R := b); sr2(S1 := a, R := b); rs1(S := a, R1 := b); rs2(S := a, R1 := b);
r1(CLK := a); r2(CLK := a); f1(CLK := a); f2(CLK := a);
u1(CU := a, R := c, PV := pv); u2(CU := a, R := c, PV := pv);
d1(CD := a, LD := c, PV := pv); d2(CD := a, LD := c, PV := pv);
b1(CU := a, CD := b, R := c, LD := d, PV := pv); b2(CU := a, CD := b, R := c, LD := d, PV := pv);
same := sr1.Q1 = sr2.Q1 AND rs1.Q1 = rs2.Q1 AND r1.Q = r2.Q AND f1.Q = f2.Q
  AND u1.Q = u2.Q AND u1.CV = u2.CV AND d1.Q = d2.Q AND d1.CV = d2.CV
  AND b1.QU = b2.QU AND b1.QD = b2.QD AND b1.CV = b2.CV;
END_PROGRAM`

// The built-in blocks do what the bodies of the standard do, for random inputs.
func TestBlocksAgainstTheStandard(t *testing.T) {
	t.Parallel()
	m := machine(t, standardBodies)
	random := rand.New(rand.NewPCG(1, 2))
	counted := map[string]bool{}
	for range 5000 {
		for _, name := range []string{"a", "b"} {
			m.set(name, random.IntN(2) == 0)
		}
		for _, name := range []string{"c", "d"} {
			m.set(name, random.IntN(20) == 0)
		}
		if random.IntN(50) == 0 {
			m.set("pv", []int{0, 1, 5, -3, 32766, -32767, 32767, -32768}[random.IntN(8)])
		}
		m.scan()
		require.Equal(t, "TRUE", m.get("same"))
		counted[m.get("b1.CV")] = true
	}
	require.Contains(t, counted, "32767", "the upper limit is never reached: the test shows less than it says")
	require.Contains(t, counted, "-32768")
}

// A counter of another type stops at the limits of that type.
func TestCounterLimits(t *testing.T) {
	t.Parallel()
	m := machine(t, `PROGRAM p VAR_INPUT x, ld : BOOL; END_VAR
VAR u : CTUD_UDINT; l : CTUD_ULINT; d : CTD_UDINT; END_VAR
u(CU := x, LD := ld, PV := 4294967294); l(CU := x, LD := ld, PV := 18446744073709551614); d(CD := x, LD := ld, PV := 1);
END_PROGRAM`)
	m.set("ld", true)
	m.scan()
	m.set("ld", false)
	for i := range 6 {
		m.set("x", i%2 == 1)
		m.scan()
	}
	require.Equal(t, "4294967295", m.get("u.CV"))
	require.Equal(t, "18446744073709551615", m.get("l.CV"))
	require.Equal(t, "TRUE", m.get("l.QU"))
	require.Equal(t, "0", m.get("d.CV"))
	require.Equal(t, "TRUE", m.get("d.Q"))
}
