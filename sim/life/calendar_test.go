package life

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const hour = time.Hour

func TestCalendar(t *testing.T) {
	c := Default(8 * hour).Calendar // three shifts of 8h on five days
	assert.Equal(t, 120*hour, c.Scheduled(week))
	assert.Equal(t, 120*hour, c.Scheduled(6*day), "nothing is made on Saturday")
	assert.Equal(t, 130*hour, c.Scheduled(week+10*hour))
	assert.Equal(t, week, c.resumes(5*day+hour), "on Saturday: next Monday")
	assert.Equal(t, 5*day-1, c.resumes(5*day-1))

	c.ShiftsPerDay, c.DaysPerWeek = 2, 7
	assert.Equal(t, 112*hour, c.Scheduled(week))
	assert.Equal(t, day, c.resumes(17*hour), "at night: the next morning")
}

// Times of production that were counted by hand, minute by minute.
func TestScheduledIsTheSumOfTheMinutes(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		c := drawCalendar(r)
		until := time.Duration(rapid.IntRange(0, 3*7*24*60).Draw(r, "minutes")) * time.Minute
		counted := time.Duration(0)
		for m := time.Duration(0); m < until; m += time.Minute {
			if int(m/day)%7 < c.DaysPerWeek && m%day < c.PerDay() {
				counted += time.Minute
			}
		}
		require.Equal(r, counted, c.Scheduled(until))
		back := c.at(counted)
		require.Equal(r, counted, c.Scheduled(back))
		require.Equal(r, c.resumes(until), back)
		require.GreaterOrEqual(r, back, until)
	})
}

func drawCalendar(r *rapid.T) Calendar {
	c := Calendar{ShiftsPerDay: rapid.IntRange(1, 4).Draw(r, "shifts"), DaysPerWeek: rapid.IntRange(1, 7).Draw(r, "days")}
	c.Shift = time.Duration(rapid.IntRange(1, 24*60/c.ShiftsPerDay).Draw(r, "shift, minutes")) * time.Minute
	c.WindowsPerShift = rapid.IntRange(0, 7).Draw(r, "windows")
	return c
}

func TestNextTest(t *testing.T) {
	day2 := Default(8 * hour).Calendar
	two := day2
	two.WindowsPerShift = 2
	early := two
	early.ShiftsPerDay = 1
	for _, c := range []struct {
		name       string
		calendar   Calendar
		now, lapse time.Duration
		windows    bool
		at         time.Duration
		inWindow   bool
	}{
		{"at the next change of shifts", day2, 10 * time.Second, 8*hour + 10*time.Second, true, 8 * hour, true},
		{"in the last window before the proof ends", two, 0, 11 * hour, true, 8 * hour, true},
		{"in the one at which it ends", two, 0, 12 * hour, true, 12 * hour, true},
		{"no window in time", day2, 0, 7 * hour, true, 7 * hour, false},
		{"windows too short", day2, 0, 8 * hour, false, 8 * hour, false},
		{"over a weekend, as production begins", day2, 4*day + 16*hour + 1, 5*day + 1, true, week, true},
		{"at night nobody tests", early, 4*hour + 1, 12 * hour, true, day, true},
		{"at night without windows, as production begins", early, 4 * hour, 12 * hour, false, day, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			at, inWindow := c.calendar.nextTest(c.now, c.lapse, c.windows)
			assert.Equal(t, c.at, at)
			assert.Equal(t, c.inWindow, inWindow)
		})
	}
}

// Production never runs without a proof: the next test comes before the proof lapses, or
// before production goes on; and never before the moment itself.
func TestNoProductionWithoutProof(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		c := drawCalendar(r)
		now := time.Duration(rapid.Int64Range(0, int64(3*week)).Draw(r, "now"))
		lapse := now + time.Duration(rapid.Int64Range(0, int64(2*week)).Draw(r, "left"))
		at, inWindow := c.nextTest(now, lapse, c.WindowsPerShift > 0)
		require.GreaterOrEqual(r, at, now)
		if at > lapse {
			require.Equal(r, c.Scheduled(lapse), c.Scheduled(at))
		}
		require.Equal(r, at, c.resumes(at), "a test is made while somebody is there")
		if inWindow {
			into := c.Scheduled(at) % c.Shift
			opens := false
			for k := range time.Duration(c.WindowsPerShift) {
				opens = opens || into == k*c.Shift/time.Duration(c.WindowsPerShift)
			}
			require.True(r, opens, "%v is a window", at)
		}
	})
}
