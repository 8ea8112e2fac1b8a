package scenarios_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

// The course goes from a healthy test to two faults at once, and has every lesson there is.
func TestCourseIsWhole(t *testing.T) {
	t.Parallel()
	course, err := scenarios.BuiltinCourse()
	require.NoError(t, err)
	found := lessons(t)
	byName := map[string]*sim.Case{}
	for name, c := range found {
		_, name, _ = strings.Cut(name, "/")
		byName[name] = c
	}
	list := course.Lessons()
	require.Greater(t, len(list), 30, "as the README says")
	require.Len(t, course.Chapters, 8, "as the README says")
	var missing []string
	for name := range byName {
		if !slices.ContainsFunc(list, func(l scenarios.CourseLesson) bool { return l.Scenario == name }) {
			missing = append(missing, name)
		}
	}
	assert.Empty(t, missing, "lessons that the course does not have")

	first := byName[list[0].Scenario].Scenario
	assert.Empty(t, first.Faults, "the course begins with a test without faults")
	assert.Equal(t, sim.SoundPass, first.Expect.Class)
	last := course.Chapters[len(course.Chapters)-1]
	for _, l := range last.Lessons {
		assert.GreaterOrEqual(t, thingsWrong(&byName[l.Scenario].Scenario), 2, "%s has two things wrong", l.Scenario)
	}
}

// thingsWrong counts what a scenario sets by faults.
func thingsWrong(s *sim.Scenario) int {
	set := map[string]bool{}
	for _, f := range s.Faults {
		for key := range f.Set {
			set[key] = true
		}
	}
	return len(set)
}

// A title in a list gives nothing away: it has none of the words of the scenario's own title, faults, cause and
// class, apart from those of every test.
func TestCourseTitlesGiveNothingAway(t *testing.T) {
	t.Parallel()
	course, err := scenarios.BuiltinCourse()
	require.NoError(t, err)
	of := strings.Fields("a an the of on in at to and from with for without that is has not its it as by be no one two test tested brake brakes load " +
		"drive motor axis down up upwards downwards direction closed stop stopped judge verdict torque current controller power")
	word := regexp.MustCompile(`[a-z]+`)
	titles := map[string]bool{}
	for _, l := range course.Lessons() {
		c, _, err := scenarios.LoadCase(l.Scenario, scenarios.Overrides{})
		require.NoError(t, err)
		s := &c.Scenario
		told := s.Title + " " + s.Scenario + " " + s.Expect.Cause.String() + " " + string(s.Expect.Class)
		for _, f := range s.Faults {
			for key, value := range f.Set {
				told = strings.Join([]string{told, key, value}, " ")
			}
		}
		if s.Expect.Class == sim.SoundPass && len(s.Faults) == 0 {
			told = "" // there is nothing to give away
		}
		words := word.FindAllString(strings.ToLower(told), -1)
		for _, w := range word.FindAllString(strings.ToLower(l.Title), -1) {
			if !slices.Contains(of, w) {
				assert.NotContains(t, words, w, "title %q of %s", l.Title, l.Scenario)
			}
		}
		assert.False(t, titles[l.Title], "title %q stands twice", l.Title)
		titles[l.Title] = true
	}
}

func TestAfterInTheCourse(t *testing.T) {
	t.Parallel()
	course, err := scenarios.BuiltinCourse()
	require.NoError(t, err)
	list := course.Lessons()
	for i, l := range list[:len(list)-1] {
		next, ok := course.After(l.Scenario)
		require.True(t, ok)
		require.Equal(t, list[i+1], next)
	}
	_, ok := course.After(list[len(list)-1].Scenario)
	require.False(t, ok)
	_, ok = course.After("healthy-down")
	require.False(t, ok)
}

func TestParseCourseRefuses(t *testing.T) {
	t.Parallel()
	const head = "course: mine\ntitle: Mine\nchapters:\n"
	for text, want := range map[string]string{
		"title: Mine\nchapters: []\n":                                                                                                         "course is missing; must be one line of plain text",
		head + "  - {chapter: One, learn: Much, lessons: []}\n":                                                                               "my.yaml:4:5: the chapter has no lessons; must have one at least",
		head + "  - {chapter: One, lessons: [{scenario: oil-on-the-lining, title: Oil}]}\n":                                                   "learn is missing",
		head + "  - {chapter: One, learn: Much, lessons: [{scenario: oil-on-the-linen, title: Oil}]}\n":                                       `there is no built-in scenario "oil-on-the-linen"; the nearest valid one is "oil-on-the-lining"`,
		head + "  - {chapter: One, learn: Much, lessons: [{scenario: healthy-down, title: Healthy}]}\n":                                       "scenario healthy-down has no lesson; must have one",
		head + "  - {chapter: One, learn: Much, lessons: [{scenario: oil-on-the-lining}]}\n":                                                  "title is missing",
		head + "  - {chapter: One, learn: Much, lesson: [{scenario: oil-on-the-lining, title: Oil}]}\n":                                       "lesson",
		head + "  - chapter: One\n    learn: Much\n    lessons:\n" + strings.Repeat("      - {scenario: oil-on-the-lining, title: Oil}\n", 2): `my.yaml:8:20: lesson "oil-on-the-lining" is listed twice; must be listed once`,
	} {
		_, err := scenarios.ParseCourse("my.yaml", []byte(text))
		require.ErrorContains(t, err, want, text)
	}
}
