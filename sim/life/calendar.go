package life

import "time"

// Calendar is when production runs. Shifts follow each other from the start of the day,
// on the first days of the week. Idle windows are spread evenly over a shift; the first opens
// with it and stands for the change of shifts.
type Calendar struct {
	ShiftsPerDay    int
	Shift           time.Duration
	DaysPerWeek     int
	DaysPerYear     int           // of production, for the figures of a standard; 0 is all of 52 weeks
	Cycle           time.Duration // of the machine, for its moves and operations
	WindowsPerShift int
	Window          time.Duration // length of a window
}

const (
	day  = 24 * time.Hour
	week = 7 * day
)

// PerDay is the time of production on a day of production.
func (c *Calendar) PerDay() time.Duration { return time.Duration(c.ShiftsPerDay) * c.Shift }

func (c *Calendar) perWeek() time.Duration { return time.Duration(c.DaysPerWeek) * c.PerDay() }

// Scheduled is the time of production from the beginning until t.
func (c *Calendar) Scheduled(t time.Duration) time.Duration {
	weeks, rest := t/week, t%week
	days, clock := rest/day, rest%day
	done := weeks*c.perWeek() + min(days, time.Duration(c.DaysPerWeek))*c.PerDay()
	if days < time.Duration(c.DaysPerWeek) {
		done += min(clock, c.PerDay())
	}
	return done
}

// at is the moment at which so much time of production has passed and production goes on.
func (c *Calendar) at(scheduled time.Duration) time.Duration {
	weeks, rest := scheduled/c.perWeek(), scheduled%c.perWeek()
	return weeks*week + rest/c.PerDay()*day + rest%c.PerDay()
}

// resumes is t while production runs, else the next moment at which it does.
func (c *Calendar) resumes(t time.Duration) time.Duration { return c.at(c.Scheduled(t)) }

// lastWindow is the newest idle window that has opened by a moment of production.
func (c *Calendar) lastWindow(t time.Duration) time.Duration {
	n := time.Duration(c.WindowsPerShift)
	done := c.Scheduled(t)
	shift, into := done/c.Shift, done%c.Shift
	window := min(n-1, ((into+1)*n-1)/c.Shift) // opens at ⌊window·shift/n⌋
	return c.at(shift*c.Shift + window*c.Shift/n)
}

// nextTest is when the proof that lapses at the given moment is renewed, if the last test ended
// at now: in the last window in which the proof is still valid or production rests, or, without
// such a window, when production would go on without a proof and has to stop. Windows that are
// too short for a test do not count.
func (c *Calendar) nextTest(now, lapse time.Duration, windows bool) (at time.Duration, inWindow bool) {
	limit := c.resumes(max(lapse, now))
	if !windows {
		return limit, false
	}
	if at = c.lastWindow(limit); at > now {
		return at, true
	}
	return limit, false
}
