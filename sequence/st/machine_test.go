package st_test

import (
	"errors"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"holdbench/sequence/st"
)

// steps is a program with all that costs time: timers, an instance, functions, strings, arrays,
// structures and real numbers.
const steps = `
TYPE
  State : (Ready, Travel, Settle, Clamp, Press, Relax, Done, Failed);
  Sample : STRUCT torque : REAL; after : TIME; END_STRUCT;
END_TYPE
FUNCTION Near : BOOL
VAR_INPUT a, b, within : REAL; END_VAR
Near := ABS(a - b) <= within;
END_FUNCTION
FUNCTION_BLOCK Mean
VAR_INPUT value : REAL; END_VAR
VAR_OUTPUT mean : REAL; END_VAR
VAR ring : ARRAY [0..7] OF REAL; next : INT; sum : REAL; i : INT; END_VAR
ring[next] := value;
next := (next + 1) MOD 8;
sum := 0.0;
FOR i := 0 TO 7 DO sum := sum + ring[i]; END_FOR;
mean := sum / 8.0;
END_FUNCTION_BLOCK
PROGRAM steps
VAR_INPUT
  trigger, estop, standstill, brake_closed : BOOL;
  position_mm, torque_nm : REAL;
END_VAR
VAR_OUTPUT move, press, brake, alarm : BOOL; cause : STRING[20]; END_VAR
VAR CONSTANT TARGET_MM : REAL := 420.0; WINDOW_MM : REAL := 0.05; END_VAR
VAR RETAIN failures : UINT; END_VAR
VAR
  state, previous : State; limit, settle : TON; mean : Mean; last : Sample; entered : BOOL;
  log : ARRAY [1..4] OF Sample; n : INT := 1;
END_VAR
entered := state <> previous;
previous := state;
limit(IN := NOT entered AND state <> Ready, PT := T#8s);
mean(value := torque_nm);
IF estop OR limit.Q THEN
  state := Failed;
  cause := CONCAT('at ', REAL_TO_STRING(position_mm));
END_IF;
CASE state OF
  Ready:
    move := FALSE;
    IF trigger THEN state := Travel; END_IF;
  Travel:
    move := TRUE;
    settle(IN := Near(position_mm, TARGET_MM, WINDOW_MM) AND standstill, PT := T#50ms);
    IF settle.Q THEN state := Clamp; END_IF;
  Clamp:
    brake := TRUE;
    IF brake_closed THEN state := State#Press; END_IF;
  Press:
    press := mean.mean < 10.0;
    last.torque := mean.mean;
    last.after := limit.ET;
    log[n] := last;
    n := LIMIT(1, n + 1, 4);
    IF NOT press THEN state := Done; END_IF;
  Failed:
    IF NOT alarm THEN failures := failures + 1; END_IF;
    alarm := TRUE;
ELSE
  move := FALSE;
END_CASE;
END_PROGRAM`

// A scan allocates nothing, in each state.
func TestScanAllocatesNothing(t *testing.T) {
	m := machine(t, steps)
	for _, state := range m.ref("state").Type().Values() {
		m.set("state", int(state.Value))
		m.set("estop", state.Name == "Failed")
		m.set("position_mm", 419.98)
		m.scan()
		now := m.now
		assert.Zero(t, testing.AllocsPerRun(100, func() {
			now += time.Millisecond
			_ = m.Scan(now)
		}), state.Name)
		m.now = now
		require.NoError(t, m.Failure())
	}
}

// A copy runs on as the original does, and neither changes the other.
func TestCopy(t *testing.T) {
	t.Parallel()
	m := machine(t, steps)
	m.set("trigger", true)
	m.set("position_mm", 420.0)
	m.set("standstill", true)
	for range 30 {
		m.scan()
	}
	c := &bench{Machine: m.Copy(), t: t, now: m.now}
	for range 40 {
		m.scan()
	}
	require.Equal(t, "Travel", c.get("state"))
	require.Equal(t, "Clamp", m.get("state"))
	for range 40 {
		c.scan()
	}
	for _, v := range m.Block().Variables {
		require.Equal(t, m.get(v.Name), c.get(v.Name), v.Name)
	}
	require.Equal(t, m.get("limit.ET"), c.get("limit.ET"))
	require.NotEqual(t, "T#0s", c.get("limit.ET"))
}

// A loss of power keeps RETAIN and nothing else: also within an instance, of a whole instance,
// and of a timer, whose time stands still meanwhile.
func TestPowerCycle(t *testing.T) {
	t.Parallel()
	m := machine(t, `
FUNCTION_BLOCK Hours
VAR RETAIN kept : INT; END_VAR
VAR lost : INT; END_VAR
kept := kept + 1; lost := lost + 1;
END_FUNCTION_BLOCK
PROGRAM p
VAR RETAIN whole : Hours; a : INT := 5; t : TON; END_VAR
VAR NON_RETAIN b : INT := 5; END_VAR
VAR single : Hours; many : ARRAY [1..2] OF Hours; END_VAR
a := a + 1; b := b + 1;
whole(); single(); many[2]();
t(IN := TRUE, PT := T#10ms);
END_PROGRAM`)
	for range 3 {
		m.scan()
	}
	require.Equal(t, "T#2ms", m.get("t.ET"))
	m.PowerCycle()
	m.now += time.Hour
	require.Equal(t, "5", m.get("b"))
	m.scan()
	for path, want := range map[string]string{
		"a": "9", "b": "6", "whole.kept": "4", "whole.lost": "4", "single.kept": "4", "single.lost": "1",
		"many[2].kept": "4", "many[2].lost": "1", "many[1].kept": "0", "t.ET": "T#2ms",
	} {
		require.Equal(t, want, m.get(path), path)
	}
}

// A budget ends a scan; a watchdog stops the program from outside; the loss of power clears both.
func TestBudgetAndStop(t *testing.T) {
	t.Parallel()
	m := machine(t, "PROGRAM p VAR n, i : INT; END_VAR FOR i := 1 TO n DO ; END_FOR; END_PROGRAM")
	m.set("n", 100)
	m.scan()
	require.Equal(t, 101, m.Steps())
	m.SetBudget(100)
	require.EqualError(t, m.Scan(m.now), "test.st:1:35: the scan takes more steps than its budget allows")
	m.PowerCycle()
	m.scan()
	watchdog := errors.New("the watchdog")
	m.Stop(watchdog)
	require.Equal(t, watchdog, m.Scan(m.now))
}

// A variable is reached by its path, once; wrong paths say what would be right.
func TestFind(t *testing.T) {
	t.Parallel()
	p := compiled(t, steps)
	b, err := p.Block("STEPS")
	require.NoError(t, err)
	r, err := p.Find(b, "LOG[2].Torque")
	require.NoError(t, err)
	require.Equal(t, "log[2].torque", r.Path())
	require.Equal(t, st.Real, r.Type().Kind())
	for path, want := range map[string]string{
		"stat":      `test.st: steps: steps has no variable "stat"; the nearest valid name is "state"`,
		"limit.R":   `test.st: steps: TON has no variable "R"`,
		"log[5]":    "test.st: steps: the index 5 of log must be an integer from 1 to 4",
		"log[1":     `test.st: steps: "log[1" is no path: ] is missing`,
		"n[1]":      "test.st: steps: n is INT; the index [1] does not fit",
		"state.x":   "test.st: steps: state is State and has no members",
		"log[1]x":   `test.st: steps: "log[1]x" is no path: found "x"; must be a point or a bracket`,
		"log[1, 2]": "test.st: steps: log is ARRAY [1..4] OF Sample; the index [1, 2] does not fit",
		"":          `test.st: steps: steps has no variable ""`,
	} {
		_, err := p.Find(b, path)
		require.EqualError(t, err, want, path)
	}
	_, err = p.Block("step")
	require.EqualError(t, err, `test.st has no block "step"; the nearest valid name is "steps"`)
}

// What does not fit a variable is refused.
func TestSet(t *testing.T) {
	t.Parallel()
	m := machine(t, `TYPE State : (Ready, Done := 5); END_TYPE
PROGRAM p VAR CONSTANT N : INT := 3; FREE : REAL := 1.5; END_VAR
VAR b : BOOL; i : INT; u : ULINT; r : REAL; t : TIME; s : STRING[3]; e : State; l : INT (0..9); w : BYTE; a : ARRAY [1..N] OF INT; END_VAR
END_PROGRAM`)
	m.set("b", true)
	m.set("i", -5)
	m.set("u", -1)
	m.set("r", 0.1)
	m.set("s", "äbcd")
	m.set("e", 5)
	m.set("FREE", 2.5)
	require.NoError(t, m.SetNumber(m.ref("t"), 1.5))
	require.NoError(t, m.SetNumber(m.ref("w"), 2.5))
	for path, want := range map[string]string{
		"b": "TRUE", "i": "-5", "u": "18446744073709551615", "r": "0.1", "s": "'äbc'", "e": "Done", "FREE": "2.5", "t": "T#1s500ms", "w": "16#02", "a": "ARRAY [1..3] OF INT",
	} {
		require.Equal(t, want, m.get(path))
	}
	require.Equal(t, 1.5, m.Number(m.ref("t")))
	require.Equal(t, float64(1<<64), m.Number(m.ref("u")))
	require.Equal(t, float64(float32(0.1)), m.Real(m.ref("r")))
	for want, err := range map[string]error{
		"b is BOOL and cannot be an integer":                                                  m.SetInt(m.ref("b"), 1),
		"i is INT and cannot be 40000; must be from -32768 to 32767":                          m.SetInt(m.ref("i"), 40000),
		"e is State and has no value 2":                                                       m.SetInt(m.ref("e"), 2),
		"l is INT (0..9) and cannot be 10":                                                    m.SetInt(m.ref("l"), 10),
		"r is REAL and must be a finite number that fits":                                     m.SetReal(m.ref("r"), 1e300),
		"i is INT and cannot be TRUE or FALSE":                                                m.SetBool(m.ref("i"), true),
		"i is INT and cannot be a string":                                                     m.SetText(m.ref("i"), "x"),
		"i is INT and cannot be a duration":                                                   m.SetTime(m.ref("i"), 1),
		"i is INT and cannot be a real number":                                                m.SetReal(m.ref("i"), 1),
		"t is TIME and must be a finite number that fits":                                     m.SetNumber(m.ref("t"), 1e300),
		"N is a CONSTANT that other values are made of before the run; change it in the text": m.SetInt(m.ref("N"), 2),
	} {
		require.EqualError(t, err, want)
	}
}

// Only what can run by itself can be made an instance.
func TestNew(t *testing.T) {
	t.Parallel()
	p := compiled(t, `FUNCTION f : INT f := 1; END_FUNCTION
FUNCTION_BLOCK b VAR_IN_OUT x : INT; END_VAR x := f(); END_FUNCTION_BLOCK`)
	_, err := p.New(p.Blocks[0])
	require.EqualError(t, err, "test.st: f is a FUNCTION; must be a PROGRAM or a FUNCTION_BLOCK")
	_, err = p.New(p.Blocks[1])
	require.EqualError(t, err, "test.st: b has the VAR_IN_OUT x, which needs a caller; write a PROGRAM that calls it")
}

func BenchmarkScan(b *testing.B) {
	m := machine(b, steps)
	for _, state := range []string{"Ready", "Travel", "Press"} {
		b.Run(state, func(b *testing.B) {
			for _, v := range m.ref("state").Type().Values() {
				if v.Name == state {
					m.set("state", int(v.Value))
				}
			}
			b.ReportAllocs()
			for b.Loop() {
				_ = m.Scan(m.now)
			}
		})
	}
}

func BenchmarkCompile(b *testing.B) {
	for b.Loop() {
		_, _, _ = st.Compile("steps.st", steps)
	}
}

// A program is shared by any number of goroutines.
func TestProgramIsShared(t *testing.T) {
	t.Parallel()
	p := compiled(t, steps+" FUNCTION_BLOCK Empty END_FUNCTION_BLOCK PROGRAM q VAR e : ARRAY [1..2] OF Empty; END_VAR e[1](); END_PROGRAM")
	var group errgroup.Group
	for range 4 {
		group.Go(func() error {
			for _, b := range p.Blocks[2:] {
				m, err := p.New(b)
				if err != nil {
					return err
				}
				for _, v := range b.Variables {
					if _, err := p.Find(b, v.Name); err != nil {
						return err
					}
				}
				_, err = p.Find(b, "e[2]")
				if b.Name == "q" && err != nil {
					return err
				}
				if err := m.Scan(0); err != nil {
					return err
				}
			}
			_ = p.Vet(st.VetOptions{})
			return nil
		})
	}
	require.NoError(t, group.Wait())
}
