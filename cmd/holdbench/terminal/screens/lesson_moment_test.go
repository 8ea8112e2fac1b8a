package screens

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A stop that the bench went past while another was read is shown with the bench at its moment, not at a later one
// that tells the answer.
func TestStopShowsItsMoment(t *testing.T) {
	t.Parallel()
	d, l := deskWithLesson(t, "lining-creeps-short-dwell", 120, 40)
	d.press("enter", "end")
	require.Equal(t, lessonAtStop, l.part)
	d.press("end", "end")
	require.Len(t, l.reached, 3)
	for at := 1; at < 3; at++ {
		d.press("enter")
		require.Equal(t, at, l.at)
		assert.Equal(t, l.stop().Tick, d.bench.player.Cursor(), "stop %d", at+1)
		answer(d, l)
	}
}

// A speed that a text names is the one that the screen shows at its moment.
func TestLessonNamesTheSpeedOfTheScreen(t *testing.T) {
	t.Parallel()
	d, l := deskWithLesson(t, "lining-worn-thin", 120, 40)
	d.press("enter")
	for l.at < 2 {
		d.press("end")
		if answer(d, l); l.at < 2 {
			d.press("enter")
		}
	}
	said := regexp.MustCompile(`the encoder measures ([\d.]+) mm/s`).FindStringSubmatch(joined(read(d, l)))
	require.NotNil(t, said)
	assert.Regexp(t, `abs\(speed\)[ ~]+`+regexp.QuoteMeta(said[1])+`\b`, d.text())
}

// A run without an end of its own is brought to where nothing more comes once its last stop is read.
func TestLessonOfARunWithoutEndIsOver(t *testing.T) {
	t.Parallel()
	d, l := deskWithLesson(t, "watchdog-stops-the-press", 120, 40)
	d.press("enter")
	for l.at < len(l.c.Scenario.Lesson)-1 {
		d.press("end")
		if l.waits() {
			answer(d, l)
		}
		if l.at < len(l.c.Scenario.Lesson)-1 {
			d.press("enter")
		}
	}
	require.Equal(t, lessonAtStop, l.part)
	d.press("enter")
	assert.Equal(t, lessonEnds, l.part)
	assert.Contains(t, joined(read(d, l)), "The run ended with none; the verdict is none, the class refused, the load drop 0.00 mm.")
}

// A key that is pressed before the run of a lesson is on the bench does not move the run that was there before.
func TestKeysWaitForTheRunOfALesson(t *testing.T) {
	t.Parallel()
	d, l := deskWithLesson(t, "lining-creeps-short-dwell", 120, 40)
	before := d.bench.player.Cursor()
	d.post(keyOf("enter"))
	for !d.bench.lesson.coming {
		d.step(0)
	}
	d.post(keyOf("end"))
	assert.Equal(t, "the run of the lesson comes to the bench; press the key again", d.bench.notice.Text)
	assert.Equal(t, before, d.bench.player.Cursor())
	d.drain()
	d.press("end")
	require.Equal(t, lessonAtStop, l.part)
	assert.Equal(t, l.stop().Tick, d.bench.player.Cursor())
}
