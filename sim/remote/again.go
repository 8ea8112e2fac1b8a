package remote

import (
	"errors"
	"fmt"

	"holdbench/sequence"
)

// errDiffers is the end of a run whose controller cannot be told again.
var errDiffers = errors.New("the controller did not answer as before when it was told the same again; what it does depends on more than its inputs")

// mostAhead is how many bytes of lines are sent ahead of their answers before the answers are read. With
// the line that goes over it this is below what a pipe holds, 4 KiB at least where systems differ (from
// memory), so that neither side waits for the other.
const mostAhead = 3 << 10

// tellAgain tells a session all that the run has told before. The answers are known, so that lines
// are sent ahead of them: each alone would take several times as long.
func (c *controller) tellAgain(s *session, past []telling) error {
	out, kept := sequence.DefaultOutputs(), make([]float64, len(c.kept))
	for begun := 0; begun < len(past); {
		ended := begun
		s.line = s.line[:0]
		for ended < len(past) && len(s.line) < mostAhead {
			s.line = c.appendLine(s.line, s.n+int64(ended-begun), &past[ended])
			ended++
		}
		if err := s.send(int64(ended - begun)); err != nil {
			return err
		}
		for i := begun; i < ended; i++ {
			if err := c.hearAgain(s, &past[i], &out, kept); err != nil {
				return err
			}
		}
		begun = ended
	}
	c.logic.pool.again.Add(int64(len(past)))
	return nil
}

// hearAgain reads an answer and compares it with that of before.
func (c *controller) hearAgain(s *session, before *telling, out *sequence.Outputs, kept []float64) error {
	line, err := s.receive()
	if err != nil {
		return err
	}
	a, err := c.take(s, before, line, out, kept)
	switch {
	case err != nil:
		return err
	case c.logic.words.sum(&a, out, kept) != before.sum:
		return fmt.Errorf("%w (line %d of the run, %s)", errDiffers, s.sent-1, excerpt(line))
	}
	return nil
}
