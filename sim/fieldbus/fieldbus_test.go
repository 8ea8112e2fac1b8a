package fieldbus_test

import (
	"context"
	"encoding/json"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/fieldbus"
)

// bus is a link without a clock: what a test wants to happen at a moment of the run.
type bus struct {
	station *fieldbus.Station
	at      func(at time.Duration)
	silent  string
	err     error
	begun   int
	begin   func() // what the controller does before its first command
}

func (b *bus) Begin(time.Duration) error {
	if b.begun++; b.begin != nil {
		b.begin()
	}
	return b.err
}

func (b *bus) Wait(at time.Duration) error {
	if b.at != nil {
		b.at(at)
	}
	return nil
}

func (b *bus) Silent() string { return b.silent }

// on is the healthy case with a controller on a bus in place of the reference.
func on(t require.TestingT, b *bus, set map[string]string) *sim.Case {
	c, _, err := scenarios.LoadCase("healthy-down", scenarios.Overrides{Set: set})
	require.NoError(t, err)
	b.station = &fieldbus.Station{}
	n := *c
	logic := fieldbus.New(c.Logic, b.station, b, "test")
	n.Logic, n.Sequence = logic, logic.About()
	return &n
}

// The name is that of a controller outside, and the sequence does not run: its notes are left out.
func TestNameOnTheBus(t *testing.T) {
	d := on(t, &bus{}, nil).Sequence
	require.Equal(t, "controller outside", d.Title())
	require.Empty(t, d.Note)
	for _, s := range d.States {
		require.Empty(t, s.Note)
	}
}

func point(t require.TestingT, m *fieldbus.Image, name string) fieldbus.Point {
	for _, p := range m.Points() {
		if p.Name == name {
			return p
		}
	}
	require.Fail(t, "no point "+name)
	return fieldbus.Point{}
}

// Every signal has its place, once, and places do not overlap.
func TestPoints(t *testing.T) {
	t.Parallel()
	c, _, err := scenarios.LoadCase("healthy-down", scenarios.Overrides{})
	require.NoError(t, err)
	names, taken := map[string]bool{}, map[fieldbus.Area]int{}
	for _, p := range fieldbus.Points(c.Sequence) {
		require.False(t, names[p.Name], p.Name)
		names[p.Name] = true
		require.Equal(t, taken[p.Area], int(p.Address), p.Name)
		taken[p.Area] += p.Type.Registers()
	}
	for _, s := range append(sequence.InputSignals(), sequence.OutputSignals()...) {
		free := s.Kind == sequence.KindWord && len(s.Words) == 0
		require.NotEqual(t, free, names[s.Name], s.Name)
	}
}

// What the controller writes acts, and what the bench writes can be read: the inputs of the scan as 32-bit
// numbers.
func TestExchange(t *testing.T) {
	t.Parallel()
	b := &bus{}
	c := on(t, b, nil)
	b.at = func(at time.Duration) {
		m := b.station.Image()
		if at != 100*time.Millisecond {
			return
		}
		write(t, m, "brake", "open")
		write(t, m, "drive", "press")
		write(t, m, "operation", "allowed")
		write(t, m, "ask", "up")
		require.NoError(t, m.WriteWords(point(t, m, "state").Address, []uint16{3}))
		require.NoError(t, m.WriteBits(point(t, m, "decouple").Address, []bool{true}))
	}
	run := sim.NewBench(c, nil)
	for run.Ticks() < 1200 && run.Tick() {
	}
	v, m := run.View(), b.station.Image()
	require.Equal(t, 1, b.begun)
	require.Equal(t, sequence.DrivePress, v.Out.Drive)
	require.Equal(t, sequence.BrakeOpen, v.Out.Brake)
	require.Equal(t, sequence.BrakeClosed, v.Out.Brake2Command(), "it was not written")
	require.Equal(t, sequence.OperationAllowed, v.Out.Operation)
	require.Equal(t, sequence.AskUp, v.Out.Ask)
	require.True(t, v.Out.Decouple)
	require.Equal(t, 3, v.State)
	words, err := m.Words(fieldbus.InputRegisters, point(t, m, "position_mm").Address, 2)
	require.NoError(t, err)
	require.Equal(t, float32(v.In.PositionMM), math.Float32frombits(uint32(words[0])<<16|uint32(words[1])))
	bits, err := m.Bits(fieldbus.DiscreteInputs, point(t, m, "brake_closed").Address, 1)
	require.NoError(t, err)
	require.Equal(t, []bool{v.In.BrakeClosed}, bits)
}

// write writes a word.
func write(t require.TestingT, m *fieldbus.Image, name, word string) {
	p := point(t, m, name)
	require.Contains(t, p.Words, word)
	require.NoError(t, m.WriteWords(p.Address, []uint16{uint16(slices.Index(p.Words, word))}), name)
}

// Zero is the safe value of every output, so that a cleared image of the outputs commands what a controller
// without power does: drive off, brakes closed, operation inhibited, nothing asked.
func TestZeroIsSafe(t *testing.T) {
	t.Parallel()
	b := &bus{}
	c := on(t, b, nil)
	safe := map[string]string{"drive": "off", "brake": "closed", "brake_2": "closed", "operation": "inhibited", "ask": "none"}
	for _, s := range sequence.OutputSignals() {
		if len(s.Words) == 0 {
			continue
		}
		i := slices.IndexFunc(fieldbus.Points(c.Sequence), func(p fieldbus.Point) bool { return p.Name == s.Name })
		p := fieldbus.Points(c.Sequence)[i]
		require.Contains(t, safe, s.Name)
		require.Equal(t, safe[s.Name], p.Words[0], s.Name)
		require.ElementsMatch(t, s.Words, p.Words, s.Name)
	}
	b.at = func(time.Duration) {
		m := b.station.Image()
		require.NoError(t, m.WriteWords(0, make([]uint16, 22)))
		require.NoError(t, m.WriteBits(0, []bool{false}))
	}
	run := sim.NewBench(c, nil)
	for run.Ticks() < 100 && run.Tick() {
	}
	out := run.View().Out
	require.Equal(t, sequence.BrakeClosed, out.Brake2Command())
	out.Brake2 = sequence.PowerUpOutputs().Brake2 // set, in place of as brake
	require.Equal(t, sequence.PowerUpOutputs(), out)
}

// Before its first command a controller has the outputs of one without power, and can read the inputs. Life,
// state and end command nothing.
func TestBeforeTheFirstCommand(t *testing.T) {
	t.Parallel()
	b := &bus{}
	c := on(t, b, nil)
	b.begin = func() {
		m := b.station.Image()
		words, err := m.Words(fieldbus.HoldingRegisters, point(t, m, "drive").Address, 19)
		require.NoError(t, err)
		require.Equal(t, make([]uint16, 19), words)
		words, err = m.Words(fieldbus.InputRegisters, point(t, m, "position_mm").Address, 2)
		require.NoError(t, err)
		require.InDelta(t, 200, math.Float32frombits(uint32(words[0])<<16|uint32(words[1])), 1)
		for _, name := range []string{"life", "state", "end"} {
			require.NoError(t, m.WriteWords(point(t, m, name).Address, []uint16{1}))
			require.False(t, m.Commanded(), name)
		}
		require.NoError(t, m.WriteWords(point(t, m, "operation").Address, []uint16{0}))
		require.True(t, m.Commanded(), "though with the value that it had")
	}
	run := sim.NewBench(c, nil)
	require.True(t, run.Tick())
	require.Equal(t, 1, b.begun)
	require.Equal(t, sequence.DriveOff, run.View().Out.Drive)
	require.Equal(t, sequence.BrakeClosed, run.View().Out.Brake)
}

// A controller that has fallen silent is without power, its outputs on the bus too, until power returns.
func TestSilenceIsSafe(t *testing.T) {
	t.Parallel()
	b := &bus{}
	run := sim.NewBench(on(t, b, nil), nil)
	for run.Ticks() < 100 && run.Tick() {
	}
	b.silent = "nothing was written"
	for run.Ticks() < 200 && run.Tick() {
	}
	v, m := run.View(), b.station.Image()
	require.True(t, v.Halted)
	require.Equal(t, sequence.PowerUpOutputs(), v.Out)
	powered := point(t, m, "powered").Address
	bits, err := m.Bits(fieldbus.DiscreteInputs, powered, 1)
	require.NoError(t, err)
	require.Equal(t, []bool{false}, bits)
	brake := point(t, m, "brake").Address
	write(t, m, "brake", "open")
	words, err := m.Words(fieldbus.HoldingRegisters, brake, 1)
	require.NoError(t, err)
	require.Equal(t, []uint16{0}, words, "what it writes has no effect")
	b.silent = ""
	require.NoError(t, run.SetButton("power_loss", true))
	for range 10 {
		run.Tick()
	}
	require.NoError(t, run.SetButton("power_loss", false))
	for range 20 {
		run.Tick()
	}
	require.False(t, run.View().Halted)
	bits, err = m.Bits(fieldbus.DiscreteInputs, powered, 1)
	require.NoError(t, err)
	require.Equal(t, []bool{true}, bits)
}

// There is one run in real time: it cannot be copied, and the next one ends it.
func TestOneRun(t *testing.T) {
	t.Parallel()
	b := &bus{}
	c := on(t, b, nil)
	first := sim.NewBench(c, nil)
	for first.Ticks() < 100 && first.Tick() {
	}
	_, err := first.Clone().Result()
	require.ErrorContains(t, err, "no way back")
	second := sim.NewBench(c, nil)
	require.True(t, second.Tick())
	for first.Ticks() < 200 && first.Tick() {
	}
	require.True(t, first.View().Halted)
	require.True(t, slices.ContainsFunc(first.Events(), func(e sim.Event) bool {
		return e.What == "controller stopped: the controller on the bus takes part in another run"
	}))
	require.False(t, second.View().Halted)
	b.err = context.Canceled
	_, err = sim.Run(c, nil)
	require.ErrorIs(t, err, context.Canceled)
}

// Whatever is read and written wherever: nothing panics, outputs stay outputs, and the figures of the run
// are numbers.
func TestAnyRequests(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := &bus{}
		c := on(t, b, map[string]string{"rig.clock.run_limit": "200ms"})
		word := rapid.OneOf(rapid.Uint16(), rapid.SampledFrom([]uint16{0, 1, 2, 3, 0x7f80, 0x7fc0, 0xff80, 0x4974}))
		b.at = func(time.Duration) {
			m := b.station.Image()
			address := rapid.Uint16Range(0, 40).Draw(t, "address")
			switch rapid.IntRange(0, 3).Draw(t, "request") {
			case 0:
				_ = m.WriteWords(address, rapid.SliceOfN(word, 1, 8).Draw(t, "words"))
			case 1:
				_ = m.WriteBits(address, rapid.SliceOfN(rapid.Bool(), 1, 8).Draw(t, "bits"))
			case 2:
				_, _ = m.Words(fieldbus.Area(rapid.IntRange(0, 3).Draw(t, "area")), rapid.Uint16().Draw(t, "far"), address)
			default:
				_, _ = m.Bits(fieldbus.Area(rapid.IntRange(0, 3).Draw(t, "area")), rapid.Uint16().Draw(t, "far"), address)
			}
		}
		r, err := sim.Run(c, nil)
		require.NoError(t, err)
		_, err = json.Marshal(r)
		require.NoError(t, err)
	})
}
