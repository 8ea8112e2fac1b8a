package safety

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// scans runs the same input for a number of scans of the whole side.
func scans(s *Side, in Inputs, n int) {
	for range n {
		s.Scan(in.Request, in.Readings)
	}
}

// A request comes late by the delay of the link, and the verdict takes as long again to be read.
func TestSideIsReadLate(t *testing.T) {
	r := judgeRig()
	r.Clock.LinkDelayScans = 2
	s := New(r)
	scans(&s, pressed(), 2)
	require.False(t, s.Out().Busy)
	scans(&s, pressed(), 1)
	require.True(t, s.Out().Busy)
	scans(&s, pressed(), 1)
	require.False(t, s.Received().Busy)
	scans(&s, pressed(), 1)
	require.True(t, s.Received().Busy)
}

// Without power there is no proof and no check, and nothing old is on the link; a fault of the
// link stays.
func TestPowerDownForgetsAllButTheFaultsOfTheLink(t *testing.T) {
	r := judgeRig()
	r.Judge.ProofLeft = scan * 1000
	s := New(r)
	s.Link.ToSafety.Held = true
	require.True(t, s.Received().Proof)
	scans(&s, tooMuch(), 2)
	s.PowerDown()
	require.Equal(t, Verdict{ProofDue: true}, s.Out().Verdict)
	require.Equal(t, Status{}, *s.Received())
	require.True(t, s.Link.ToSafety.Held)
	scans(&s, Inputs{}, 3)
	require.Equal(t, Verdict{ProofDue: true}, s.Out().Verdict)
}

// A copy goes on by itself.
func TestSideCopies(t *testing.T) {
	r := judgeRig()
	r.Clock.LinkDelayScans = 0
	s := New(r)
	scans(&s, pressed(), 3)
	own := judgeRig()
	own.Judge.Dwell = 20 * scan
	c := s
	c.UseRig(own)
	scans(&s, pressed(), 8)
	scans(&c, pressed(), 8)
	require.True(t, s.Out().Proof)
	require.True(t, c.Out().Busy)
}

func BenchmarkScan(b *testing.B) {
	r := judgeRig()
	r.Judge.Dwell, r.Judge.Deadline = 1<<40, 1<<41
	s := New(r)
	in := pressed()
	b.ReportAllocs()
	for b.Loop() {
		s.Scan(in.Request, in.Readings)
	}
}
