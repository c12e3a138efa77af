package bouts

import "testing"

func TestWitnessSees(t *testing.T) {
	heart := []Bout{{Start: 100, End: 200}, {Start: 300, End: 400}, {Start: 500, End: 600}}
	tests := []struct {
		name string
		set  []Bout
		want bool
	}{
		{"the same set", []Bout{{Start: 95, End: 195}, {Start: 295, End: 390}, {Start: 495, End: 605}}, true},
		{"without one of it", []Bout{{Start: 95, End: 195}, {Start: 295, End: 390}}, true},
		{"halves", []Bout{{Start: 100, End: 145}, {Start: 155, End: 200}, {Start: 300, End: 345}, {Start: 355, End: 400}}, false},
		{"another set", []Bout{{Start: 210, End: 290}, {Start: 410, End: 490}}, false},
		{"one of many", []Bout{{Start: 100, End: 200}}, false},
	}
	for _, tt := range tests {
		w := &witness{asked: true, bouts: heart}
		if got := w.sees(tt.set); got != tt.want {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
	var none *witness
	if none.sees(tests[0].set) {
		t.Error("a heart that nobody measured bears a set out")
	}
}
