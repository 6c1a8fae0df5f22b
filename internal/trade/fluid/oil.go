package fluid

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"axlestand/internal/trade/input"
)

// WinterLimits are what SAE J300 asks of a W grade. Viscosities in mPa·s, kinematic ones in mm²/s.
type WinterLimits struct {
	Grade    int
	CrankMax int // most when cranking
	CrankAt  Celsius
	PumpMax  int // most when pumping
	PumpAt   Celsius
	KV100Min float64 // least at 100 °C
}

// HotLimits are what SAE J300 asks of a grade when hot.
type HotLimits struct {
	Grade      int
	KV100Min   float64 // least at 100 °C, included
	KV100Below float64 // what it stays below
	HTHSMin    float64 // least at 150 °C and high shear, mPa·s
}

var winterLimits = []WinterLimits{
	{0, 6200, -35, 60000, -40, 3.8},
	{5, 6600, -30, 60000, -35, 3.8},
	{10, 7000, -25, 60000, -30, 4.1},
	{15, 7000, -20, 60000, -25, 5.6},
	{20, 9500, -15, 60000, -20, 5.6},
	{25, 13000, -10, 60000, -15, 9.3},
}

// The 40's least at high shear is that of the thicker winter grades and of the single grade.
var hotLimits = []HotLimits{
	{8, 4.0, 6.1, 1.7},
	{12, 5.0, 7.1, 2.0},
	{16, 6.1, 8.2, 2.3},
	{20, 6.9, 9.3, 2.6},
	{30, 9.3, 12.5, 2.9},
	{40, 12.5, 16.3, 3.7},
	{50, 16.3, 21.9, 3.7},
	{60, 21.9, 26.1, 3.7},
}

// thinWinter40 is the 40's least at high shear with 0W, 5W and 10W.
const thinWinter40 = 3.5

// WinterGrades lists the W grades with their limits.
func WinterGrades() []WinterLimits { return slices.Clone(winterLimits) }

// HotGrades lists the grades with their limits; of 40 those of the single grade.
func HotGrades() []HotLimits { return slices.Clone(hotLimits) }

// Viscosity is an SAE viscosity grade: 5W-30, 10W or 30. At least one of the two halves is there.
type Viscosity struct {
	Winter    int // 0 to 25
	HasWinter bool
	Hot       int // 8 to 60, or 0 where there is only a W grade
}

var viscosityForm = regexp.MustCompile(`^(?:SAE)?(?:(0|5|10|15|20|25)W)?[-‐‑–]?(8|12|16|20|30|40|50|60)?$`)

// ParseViscosity reads a grade: "5W-30", "SAE 30", "10w". The error is an [*input.Error] for "viscosity".
func ParseViscosity(typed string) (Viscosity, error) {
	squeezed := squeeze(typed)
	m := viscosityForm.FindStringSubmatch(squeezed)
	joined := strings.ContainsAny(squeezed, "-‐‑–")
	if m == nil || m[1] == "" && m[2] == "" || joined && (m[1] == "" || m[2] == "") {
		return Viscosity{}, input.Wrong("viscosity", "Write a grade like 5W-30, 10W or 30: 0, 5, 10, 15, 20 or 25 before the W, and 8, 12, 16, 20, 30, 40, 50 or 60 after it.")
	}
	v := Viscosity{HasWinter: m[1] != ""}
	v.Winter, _ = strconv.Atoi(m[1])
	v.Hot, _ = strconv.Atoi(m[2])
	return v, nil
}

// String is the grade as printed on the bottle.
func (v Viscosity) String() string {
	switch {
	case !v.HasWinter:
		return strconv.Itoa(v.Hot)
	case v.Hot == 0:
		return fmt.Sprintf("%dW", v.Winter)
	}
	return fmt.Sprintf("%dW-%d", v.Winter, v.Hot)
}

// WinterLimits are those of the W grade, if there is one.
func (v Viscosity) WinterLimits() (WinterLimits, bool) {
	i := slices.IndexFunc(winterLimits, func(l WinterLimits) bool { return v.HasWinter && l.Grade == v.Winter })
	if i < 0 {
		return WinterLimits{}, false
	}
	return winterLimits[i], true
}

// HotLimits are those of the hot grade, if there is one. A 40 may be thinner at high shear with 0W, 5W and 10W.
func (v Viscosity) HotLimits() (HotLimits, bool) {
	i := slices.IndexFunc(hotLimits, func(l HotLimits) bool { return l.Grade == v.Hot })
	if i < 0 {
		return HotLimits{}, false
	}
	l := hotLimits[i]
	if l.Grade == 40 && v.HasWinter && v.Winter <= 10 {
		l.HTHSMin = thinWinter40
	}
	return l, true
}

// GradesAt lists the grades whose range holds a viscosity at 100 °C in mm²/s, the thinnest first. Grades 8 to 20 overlap:
// viscosity alone does not name one of them. What is no viscosity is refused for "viscosity".
func GradesAt(kv100 float64) ([]int, error) {
	if err := input.Positive("viscosity", kv100, "Give the viscosity at 100 °C in mm²/s, more than zero."); err != nil {
		return nil, err
	}
	var grades []int
	for _, l := range hotLimits {
		if kv100 >= l.KV100Min && kv100 < l.KV100Below {
			grades = append(grades, l.Grade)
		}
	}
	return grades, nil
}

// ACEA is a sequence of ACEA with the year of its issue, or 0 where the bottle names none.
type ACEA struct {
	Code string // A3/B4, C3, E4
	Year int
}

var aceaForm = regexp.MustCompile(`^(?:ACEA)?(A[0-9]/B[0-9]|[A-F][0-9]{1,2})(?:-([0-9]{2}|[0-9]{4}))?$`)

// ParseACEA reads a sequence: "A3/B4", "ACEA C3-16", "C3-2021". The error is an [*input.Error] for "acea".
func ParseACEA(typed string) (ACEA, error) {
	m := aceaForm.FindStringSubmatch(squeeze(typed))
	if m == nil {
		return ACEA{}, input.Wrong("acea", "Write the sequence as on the bottle, like A3/B4, C3 or C3-16.")
	}
	year, _ := strconv.Atoi(m[2])
	switch {
	case len(m[2]) == 2 && year >= 90:
		year += 1900
	case len(m[2]) == 2:
		year += 2000
	case m[2] != "" && (year < 1990 || year > 2099):
		return ACEA{}, input.Wrong("acea", "The year of the issue is written like C3-16 or C3-2021.")
	}
	return ACEA{Code: m[1], Year: year}, nil
}

// String is the sequence with its year where it has one.
func (a ACEA) String() string {
	if a.Year == 0 {
		return "ACEA " + a.Code
	}
	return fmt.Sprintf("ACEA %s-%d", a.Code, a.Year)
}

// Replaces says whether an oil of sequence a may stand in for the one asked for: only the same sequence, since there is no upward
// interchange, and not an earlier issue. Otherwise it is a [*Refusal].
func (a ACEA) Replaces(asked ACEA) error {
	switch {
	case a.Code != asked.Code:
		return &Refusal{Reason: a.String() + " does not replace " + asked.String() + ": no sequence stands in for another. Look for " + asked.Code + " on the bottle."}
	case asked.Year > 0 && a.Year > 0 && a.Year < asked.Year:
		return &Refusal{Reason: a.String() + " is of an earlier issue than " + asked.String() + "."}
	}
	return nil
}

// InIssue says whether a sequence was in the issue of its year, as far as known: the issue of 2021 dropped A3/B3 and C1 and brought
// A7/B7 and C6 (ACEA 2021, from memory). Without a year it is not looked at.
func (a ACEA) InIssue() bool {
	dropped := slices.Contains([]string{"A3/B3", "C1"}, a.Code)
	brought := slices.Contains([]string{"A7/B7", "C6"}, a.Code)
	return a.Year == 0 || !dropped && !brought || dropped && a.Year < 2021 || brought && a.Year >= 2021
}

// apiForm leaves out I, K and O, which were never used (from memory).
var apiForm = regexp.MustCompile(`^(?:API)?S([A-HJLMNPQ])$`)

// APICovers says whether an oil of one API service class for petrol engines usually serves where another is asked for: the
// same or a later letter. Common practice, no source. A class of another kind is refused for "offered" or "asked"; the
// sentence warns where it is due.
func APICovers(offered, asked string) (covers bool, sentence string, err error) {
	o, a := apiForm.FindStringSubmatch(squeeze(offered)), apiForm.FindStringSubmatch(squeeze(asked))
	switch {
	case o == nil:
		return false, "", input.Wrong("offered", "Write the class as on the bottle, like SN.")
	case a == nil:
		return false, "", input.Wrong("asked", "Write the class as in the book, like SL.")
	case o[1] < a[1]:
		return false, "S" + o[1] + " is older than S" + a[1] + ".", nil
	case o[1] == a[1]:
		return true, "", nil
	}
	return true, "A later class usually covers an earlier one. An engine with flat tappets may need more zinc (ZDDP) than later classes have.", nil
}

// What is usual with engine oil. Common practice, no source.
const (
	OilLevelHow  = "On level ground, warm, off for 5 to 10 minutes, between the marks; add at most half a litre at a time."
	OilAddAtMost = Litres(.5)
	OilMarks     = Litres(1) // about, from the lower to the upper mark
)

// consumptionFrom is the distance below which consumption is not known.
const consumptionFrom = 500

// OilConsumption is what the engine used in litres over 1000 km; it is not known over less than 500 km. Top-ups below zero are
// refused for "top_ups", a distance below zero for "km".
func OilConsumption(topUps Litres, km float64) (per1000 Litres, known bool, err error) {
	err = input.First(
		input.Within("top_ups", topUps, 0, 1000, "Give what was topped up, in litres."),
		input.Within("km", km, 0, 1e7, "Give the distance since the last change, in km."),
	)
	if err != nil || km < consumptionFrom {
		return 0, false, err
	}
	return topUps / Litres(km) * 1000, true, nil
}
