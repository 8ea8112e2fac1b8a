package screens

import (
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
)

func TestAskKeys(t *testing.T) {
	t.Parallel()
	yes := []tea.Msg{Close{}, confirmed{"what"}}
	no := []tea.Msg{Close{}}
	for _, c := range []struct {
		keys []string
		want []tea.Msg
	}{
		{[]string{"y"}, yes},
		{[]string{"Y"}, yes},
		{[]string{"n"}, no},
		{[]string{"esc"}, no},
		{[]string{"enter"}, no}, // comes of itself
		{[]string{"right", "enter"}, yes},
		{[]string{"tab", "enter"}, yes},
		{[]string{"left", "left", "enter"}, no},
		{[]string{"x"}, nil},
		{[]string{" "}, nil},
	} {
		q := sized(t, newAsk("Leave?", "All would be lost.", "what"), 80, 24)
		assert.Equal(t, c.want, press(t, q, c.keys...), c.keys)
	}
}

func TestAskTakesEveryKeyButTheLast(t *testing.T) {
	t.Parallel()
	q := newAsk("Leave?", "", nil)
	taken, _ := q.Update(keyOf("q"))
	assert.True(t, taken, "what is under the question must not hear it")
	taken, _ = q.Update(keyOf("ctrl+c"))
	assert.False(t, taken)
	assert.False(t, q.Typing())
}

func TestAskMouse(t *testing.T) {
	t.Parallel()
	q := sized(t, newAsk("Leave?", "All would be lost.", "what"), 80, 24)
	x, y := find(t, q, "no ", 80, 24)
	assert.Equal(t, []tea.Msg{Close{}}, feed(t, q, click(x, y)))
	x, y = find(t, q, "yes ", 80, 24)
	assert.Equal(t, []tea.Msg{Close{}, confirmed{"what"}}, feed(t, q, click(x, y)))
	assert.Empty(t, feed(t, q, click(0, 0)))
}

func TestAskScreens(t *testing.T) {
	t.Parallel()
	for _, size := range goldenSizes {
		q := sized(t, newAsk("Leave holdbench?", lost, Leave{}), size[0], size[1])
		golden(t, sizeName("ask", size), text(q, size[0], size[1]))
	}
}
