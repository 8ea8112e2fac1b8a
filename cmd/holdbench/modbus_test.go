//go:build unix

package main

import (
	"encoding/csv"
	"math"
	"net"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/simonvetter/modbus"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// freePort is an address on which nobody listens.
func freePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer func() { _ = l.Close() }()
	return l.Addr().String()
}

// place is where a point lies on the bus.
type place struct {
	address uint16
	words   []string
}

// places reads the table that the program prints.
func places(t *testing.T) map[string]place {
	t.Helper()
	got := holdbench(t, "attach", "--points", "csv")
	require.Equal(t, command.ExitOK, got.code, got.stderr)
	rows, err := csv.NewReader(strings.NewReader(got.stdout)).ReadAll()
	require.NoError(t, err)
	list := map[string]place{}
	for _, row := range rows[1:] {
		address, err := strconv.ParseUint(row[1], 10, 16)
		require.NoError(t, err)
		require.NotContains(t, list, row[3], "every name is there once")
		list[row[3]] = place{uint16(address), strings.Fields(row[6])}
	}
	return list
}

// master is a controller on the bus.
type master struct {
	t      *testing.T
	c      *modbus.ModbusClient
	places map[string]place
}

func newMaster(t *testing.T, address string) *master {
	t.Helper()
	c, err := modbus.NewClient(&modbus.ClientConfiguration{URL: "tcp://" + address, Timeout: 10 * time.Second})
	require.NoError(t, err)
	require.NoError(t, c.Open())
	require.NoError(t, c.SetEncoding(modbus.BIG_ENDIAN, modbus.HIGH_WORD_FIRST))
	t.Cleanup(func() { _ = c.Close() })
	return &master{t, c, places(t)}
}

func (m *master) on(name string) bool {
	v, err := m.c.ReadDiscreteInput(m.places[name].address)
	require.NoError(m.t, err, name)
	return v
}

func (m *master) number(name string) float64 {
	v, err := m.c.ReadFloat32(m.places[name].address, modbus.INPUT_REGISTER)
	require.NoError(m.t, err, name)
	return float64(v)
}

func (m *master) real(name string, v float64) {
	require.NoError(m.t, m.c.WriteFloat32(m.places[name].address, float32(v)), name)
}

// word writes the place of a word.
func (m *master) word(name, word string) {
	for i, w := range m.places[name].words {
		if w == word {
			require.NoError(m.t, m.c.WriteRegister(m.places[name].address, uint16(i)), name)
			return
		}
	}
	require.Fail(m.t, "there is no word "+word, name)
}

// until waits for something to be so, with a life sign in each cycle.
func (m *master) until(what string, so func() bool) {
	m.t.Helper()
	for end := time.Now().Add(patience); !so(); time.Sleep(2 * time.Millisecond) {
		require.True(m.t, time.Now().Before(end), what)
		m.alive()
	}
}

func (m *master) alive() {
	life := m.places["life"].address
	n, err := m.c.ReadRegister(life, modbus.HOLDING_REGISTER)
	require.NoError(m.t, err)
	require.NoError(m.t, m.c.WriteRegister(life, n+1))
}

// A controller on the bus tests a healthy brake downwards, in real time.
func TestModbus(t *testing.T) {
	t.Parallel()
	address := freePort(t)
	s := start(t, "attach", "--modbus", address, "--silent-after", "10s", "healthy-down", "--json")
	s.says(t, "the run waits for the first command over Modbus on ")
	m := newMaster(t, address)
	m.until("power", func() bool { return m.on("powered") })
	scans, err := m.c.ReadRegister(m.places["scan"].address, modbus.INPUT_REGISTER)
	require.NoError(t, err)
	require.Zero(t, scans, "a change of life is no command")
	m.word("drive", "hold")
	m.word("brake", "open")
	m.word("operation", "allowed")
	m.until("trigger", func() bool { return m.on("trigger") })
	m.word("operation", "inhibited")
	m.word("brake", "closed")
	m.until("brake closed", func() bool { return m.on("brake_closed") })
	time.Sleep(100 * time.Millisecond) // until it is fully engaged
	m.real("press_torque_nm", -0.92)
	m.real("press_rate_nm_s", 10)
	m.real("required_current_a", -1.1)
	m.word("drive", "press")
	m.word("state", "press_down")
	m.until("torque", func() bool { return m.number("torque_nm") < -0.87 })
	m.word("ask", "down")
	m.until("check", func() bool { return m.on("judge_busy") })
	m.until("proof", func() bool { return !m.on("judge_busy") })
	m.until("proof of it", func() bool { return m.on("proof") })
	m.word("ask", "none")
	m.real("press_torque_nm", 2.81)
	m.until("load carried", func() bool { return m.number("torque_nm") > 2.7 })
	m.word("drive", "hold")
	m.word("brake", "open")
	m.until("brake open", func() bool { return !m.on("brake_closed") })
	time.Sleep(200 * time.Millisecond)
	m.word("operation", "allowed")
	m.word("end", "pass")
	code := s.ends(t)
	r := decoded(t, s.stdout.String())
	assert.Equal(t, [3]string{"pass", "proven", "sound-pass"}, [3]string{r.End, r.Verdict, string(r.Class)}, s.stdout.String())
	assert.Equal(t, "passed", r.EndedIn, "the state that ends so")
	assert.Equal(t, command.ExitBroken, code, "it went not by the states that the scenario expects")
	assert.Regexp(t, `\d+ scans in real time, late by \S+ on average, 99 % by at most \S+, one by \S+; \d+ overruns`, s.stderr.String())
	assert.Regexp(t, `\d+ requests, \d+ of them writing, at most \S+ apart; 0 refused`, s.stderr.String())
	assert.Contains(t, s.stderr.String(), "An attached controller must not be wired to a machine")
}

// A client that falls silent is stopped, and so is one whose life sign stands; the rest of the run is
// without it.
func TestModbusSilence(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		live func(m *master)
		want string
	}{
		"silent": {func(m *master) { m.word("operation", "inhibited") }, "controller stopped: nothing was written over Modbus for 150ms"},
		"dead": {func(m *master) {
			m.alive()
			for m.c.WriteRegister(m.places["operation"].address, 0) == nil { // until the run is over
				time.Sleep(20 * time.Millisecond)
			}
		}, "controller stopped: life has not changed for 150ms"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			address := freePort(t)
			s := start(t, "attach", "--modbus", address, "--silent-after", "150ms", "healthy-down", "--json", "--set", "rig.clock.run_limit=2s")
			s.says(t, "the run waits for the first command over Modbus on ")
			c.live(newMaster(t, address))
			require.Equal(t, command.ExitBroken, s.ends(t), s.stderr.String())
			require.Contains(t, s.stdout.String(), c.want)
		})
	}
}

// What means nothing is refused with the exception of the protocol, and changes nothing.
func TestModbusRefuses(t *testing.T) {
	t.Parallel()
	address := freePort(t)
	s := start(t, "attach", "--modbus", address, "--silent-after", "10s", "healthy-down")
	s.says(t, "the run waits for the first command over Modbus on ")
	m := newMaster(t, address)
	m.word("operation", "inhibited")
	at := m.places["press_torque_nm"].address
	for name, c := range map[string]struct{ got, want error }{
		"no word":           {m.c.WriteRegister(m.places["drive"].address, 4), modbus.ErrIllegalDataValue},
		"no number":         {m.c.WriteFloat32(at, float32(math.NaN())), modbus.ErrIllegalDataValue},
		"too large":         {m.c.WriteFloat32(at, 2e6), modbus.ErrIllegalDataValue},
		"half a number":     {m.c.WriteRegister(at, 1), modbus.ErrIllegalDataAddress},
		"other half":        {m.c.WriteRegister(at+1, 1), modbus.ErrIllegalDataAddress},
		"beyond the end":    {m.c.WriteRegister(1000, 1), modbus.ErrIllegalDataAddress},
		"coil beyond":       {m.c.WriteCoil(1000, true), modbus.ErrIllegalDataAddress},
		"an unknown number": {m.c.WriteRegister(m.places["state"].address, 9999), modbus.ErrIllegalDataValue},
	} {
		require.ErrorIs(t, c.got, c.want, name)
	}
	_, err := m.c.ReadRegisters(0, 100, modbus.INPUT_REGISTER)
	require.ErrorIs(t, err, modbus.ErrIllegalDataAddress)
	v, err := m.c.ReadFloat32(at, modbus.HOLDING_REGISTER)
	require.NoError(t, err)
	assert.Zero(t, v)
	second := newMasterOrNil(address)
	assert.Nil(t, second, "one client at a time")
	got := holdbench(t, "attach", "--modbus", address)
	assert.Equal(t, command.ExitWrong, got.code)
	assert.Contains(t, got.stderr, "--modbus "+address+": bind: address already in use")
	require.NoError(t, s.Process.Signal(os.Interrupt))
	require.Equal(t, command.ExitInterrupted, s.ends(t), s.stderr.String())
}

// newMasterOrNil is a client that has got an answer, nil if it has not.
func newMasterOrNil(address string) *modbus.ModbusClient {
	c, err := modbus.NewClient(&modbus.ClientConfiguration{URL: "tcp://" + address, Timeout: time.Second})
	if err != nil || c.Open() != nil {
		return nil
	}
	defer func() { _ = c.Close() }()
	if _, err := c.ReadDiscreteInput(0); err != nil {
		return nil
	}
	return c
}

// Another implementation of the protocol reads and writes what the table says: mbpoll, of Debian.
func TestModbusWithMbpoll(t *testing.T) {
	t.Parallel()
	program, err := exec.LookPath("mbpoll")
	if err != nil {
		t.Skip("mbpoll is not there")
	}
	address := freePort(t)
	host, port, err := net.SplitHostPort(address)
	require.NoError(t, err)
	s := start(t, "attach", "--modbus", address, "--silent-after", "20s", "healthy-down", "--json")
	s.says(t, "the run waits for the first command over Modbus on ")
	at := places(t)
	poll := func(kind, name string, rest ...string) string {
		args := append([]string{"-m", "tcp", "-p", port, "-0", "-1", "-B", "-t", kind, "-r", strconv.Itoa(int(at[name].address)), host}, rest...)
		var out []byte
		var err error
		for range 40 { // one client at a time: the connection of the call before may still be closing
			if out, err = exec.Command(program, args...).CombinedOutput(); err == nil {
				return string(out)
			}
			time.Sleep(50 * time.Millisecond)
		}
		require.NoError(t, err, string(out))
		return ""
	}
	read := func(kind, name string) float64 {
		value := regexp.MustCompile(`(?m)^\[\d+\]:\s*(\S+)`).FindStringSubmatch(poll(kind, name))
		require.Len(t, value, 2)
		v, err := strconv.ParseFloat(value[1], 64)
		require.NoError(t, err)
		return v
	}
	assert.EqualValues(t, 0, read("4", "brake"), "closed, ahead of the first command")
	assert.InDelta(t, 200, read("3:float", "position_mm"), 0.5)
	poll("4", "drive", "1")
	assert.EqualValues(t, 1, read("4", "drive"))
	for end := time.Now().Add(patience); read("1", "brake_closed") == 0; {
		require.True(t, time.Now().Before(end), "the brake does not close")
	}
	poll("4", "brake", "1")
	assert.EqualValues(t, 1, read("4", "brake"))
	for end := time.Now().Add(patience); read("1", "brake_closed") == 1; {
		require.True(t, time.Now().Before(end), "the brake does not open")
	}
	assert.InDelta(t, 2.81, read("3:float", "torque_nm"), 0.2)
	poll("4:float", "press_torque_nm", "--", "-0.5")
	assert.InDelta(t, -0.5, read("4:float", "press_torque_nm"), 1e-6)
	poll("0", "decouple", "1")
	assert.EqualValues(t, 1, read("0", "decouple"))
	poll("4", "end", "2")
	require.Equal(t, command.ExitBroken, s.ends(t), s.stderr.String())
	assert.Equal(t, "fail", decoded(t, s.stdout.String()).End)
}
