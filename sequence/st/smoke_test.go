package st

import (
	"testing"
	"time"
)

func TestSmoke(t *testing.T) {
	p, w, err := Compile("a.st", `
TYPE State : (Idle, Run, Done := 7); P : STRUCT x : REAL := 1.5; n : ARRAY [1..3] OF INT := [1, 2(5)]; END_STRUCT END_TYPE
FUNCTION Twice : INT VAR_INPUT a : INT; END_VAR Twice := a * 2; END_FUNCTION
PROGRAM main
VAR_INPUT go : BOOL; END_VAR
VAR_OUTPUT lamp : BOOL; total : DINT; END_VAR
VAR s : State; t : TON; p : P; i : INT; msg : STRING := 'a'; END_VAR
CASE s OF
  Idle: IF go THEN s := Run; END_IF;
  Run: t(IN := TRUE, PT := T#20ms); IF t.Q THEN s := State#Done; END_IF;
  Done: lamp := TRUE;
END_CASE;
total := 0;
FOR i := 1 TO 3 DO total := total + Twice(Twice(p.n[i])); END_FOR;
msg := CONCAT(LEFT(msg, 3), 'b');
END_PROGRAM`)
	t.Log(w, err)
	if err != nil {
		t.FailNow()
	}
	b, _ := p.Block("MAIN")
	m, err := p.New(b)
	if err != nil {
		t.Fatal(err)
	}
	g, _ := p.Find(b, "go")
	m.SetBool(g, true)
	for i := range 15 {
		if err := m.Scan(time.Duration(i) * 2 * time.Millisecond); err != nil {
			t.Fatal(err)
		}
	}
	for _, n := range []string{"s", "lamp", "total", "msg", "p.x", "p.n[2]", "t.ET", "i"} {
		r, err := p.Find(b, n)
		t.Log(n, err, m.Format(r))
	}
	t.Log(testing.AllocsPerRun(100, func() { m.Scan(m.last + 1) }))
}
