package scenarios

import (
	"embed"
	"fmt"
	"slices"
	"strings"

	"holdbench/plant/problem"
	"holdbench/sequence"
)

// Course is an ordered list of lessons, in chapters by what one learns.
type Course struct {
	Course   string    `yaml:"course"`
	Title    string    `yaml:"title"`
	Chapters []Chapter `yaml:"chapters"`
}

// Chapter is a part of a course.
type Chapter struct {
	Chapter string         `yaml:"chapter"`
	Learn   string         `yaml:"learn"`
	Lessons []CourseLesson `yaml:"lessons"`
}

// CourseLesson is a lesson of a course: a built-in scenario, and a title that does not tell what comes of it.
// Lists show this title until the lesson is done.
type CourseLesson struct {
	Scenario string `yaml:"scenario"`
	Title    string `yaml:"title"`
}

//go:embed course
var courses embed.FS

// BuiltinCourse is the course that comes with the program. An error is a [problem.List].
func BuiltinCourse() (*Course, error) {
	const file = "course/course.yaml"
	text, err := courses.ReadFile(file)
	if err != nil {
		return nil, err
	}
	return ParseCourse("builtin:"+file, text)
}

// ParseCourse reads a course and checks it: every lesson must be a built-in scenario with a lesson, once.
func ParseCourse(name string, text []byte) (*Course, error) {
	src, err := read(name, text)
	if err != nil {
		return nil, err
	}
	var c Course
	if err := src.decode("$", src.root(), &c); err != nil {
		return nil, err
	}
	return &c, c.check(src).OrNil()
}

// Lessons are those of all chapters, in their order.
func (c *Course) Lessons() []CourseLesson {
	var list []CourseLesson
	for i := range c.Chapters {
		list = append(list, c.Chapters[i].Lessons...)
	}
	return list
}

// After is the lesson behind that of a scenario, false at the end and for a scenario that is not in the course.
func (c *Course) After(scenario string) (next CourseLesson, ok bool) {
	list := c.Lessons()
	i := slices.IndexFunc(list, func(l CourseLesson) bool { return l.Scenario == scenario })
	if i < 0 || i+1 == len(list) {
		return next, false
	}
	return list[i+1], true
}

func (c *Course) check(src *source) problem.List {
	var found problem.List
	wrong := func(path, format string, values ...any) {
		found = append(found, src.problem(path, 0, fmt.Sprintf(format, values...)))
	}
	needs := func(path, key, text string) {
		if strings.TrimSpace(text) == "" {
			wrong(path+"."+key, "%s is missing; must be one line of plain text", key)
		}
	}
	needs("$", "course", c.Course)
	needs("$", "title", c.Title)
	seen := map[string]bool{}
	for i := range c.Chapters {
		chapter, path := &c.Chapters[i], fmt.Sprintf("$.chapters[%d]", i)
		needs(path, "chapter", chapter.Chapter)
		needs(path, "learn", chapter.Learn)
		if len(chapter.Lessons) == 0 {
			wrong(path, "the chapter has no lessons; must have one at least")
		}
		for j, l := range chapter.Lessons {
			path := fmt.Sprintf("%s.lessons[%d]", path, j)
			needs(path, "title", l.Title)
			if why := lessonFault(l.Scenario, seen); why != "" {
				wrong(path+".scenario", "%s", why)
			}
			seen[l.Scenario] = true
		}
	}
	return found
}

// lessonFault is what is wrong with a lesson of a course, empty if nothing is.
func lessonFault(scenario string, seen map[string]bool) string {
	names := Names(ScenarioKind)
	switch {
	case !slices.Contains(names, scenario):
		return fmt.Sprintf("there is no built-in scenario %q; %s", scenario, sequence.Suggest(scenario, names))
	case seen[scenario]:
		return fmt.Sprintf("lesson %q is listed twice; must be listed once", scenario)
	case !hasLesson(scenario):
		return fmt.Sprintf("scenario %s has no lesson; must have one", scenario)
	}
	return ""
}

// hasLesson is whether a built-in scenario has a lesson, by the keys at its margin: to read all of the document
// takes too long for a list.
func hasLesson(scenario string) bool {
	_, text, err := find(ScenarioKind, scenario, "")
	return err == nil && slices.Contains(lineKeys(text), "lesson")
}
