package unit

import (
	"math"
	"strings"
)

// Unit is a unit of one kind.
type Unit[K Kind] struct{ def *def }

// def is what is known of a unit.
type def struct {
	symbol    string
	factor    float64 // how many of the unit in which the kind is reckoned
	zero      float64 // the number that this unit shows at the zero of the kind's reckoning
	tight     bool    // the symbol follows the number without a space
	imperial  bool
	steps     []step
	spellings []string // as keyOf makes them; the symbol's own is known without
}

// step is what a tool can show for numbers below a bound.
type step struct{ below, step float64 }

const endless = 1e300

// Of is v of the unit. v must be finite.
func (u Unit[K]) Of(v float64) Quantity[K] {
	v += 0 // minus zero is zero
	return Quantity[K]{value: v, places: safe[K](v, shortest(v)), unit: u}
}

// String is the unit's symbol; "" for no unit.
func (u Unit[K]) String() string {
	if u.def == nil {
		return ""
	}
	return u.def.symbol
}

// Imperial says that it is one of the inch and pound units.
func (u Unit[K]) Imperial() bool { return u.def != nil && u.def.imperial }

// Units lists the units of a kind, the most usual first.
func Units[K Kind]() []Unit[K] {
	var k K
	t := k.table()
	units := make([]Unit[K], len(t.units))
	for i, d := range t.units {
		units[i] = Unit[K]{d}
	}
	return units
}

func defs[K Kind](units ...Unit[K]) (list []*def) {
	for _, u := range units {
		list = append(list, u.def)
	}
	return list
}

func metric[K Kind](symbol string, factor float64, spellings string, steps ...step) Unit[K] {
	return Unit[K]{&def{symbol: symbol, factor: factor, spellings: strings.Fields(spellings), steps: steps}}
}

func imperial[K Kind](symbol string, factor float64, spellings string, steps ...step) Unit[K] {
	u := metric[K](symbol, factor, spellings, steps...)
	u.def.imperial = true
	return u
}

func degrees[K Kind](symbol string, factor, zero float64, tight bool, spellings string, s step) Unit[K] {
	u := metric[K](symbol, factor, spellings, s)
	u.def.zero, u.def.tight = zero, tight
	return u
}

// Exact definitions; see the package comment for their source.
const (
	inch    = 0.0254      // m
	foot    = 0.3048      // m
	mile    = 1609.344    // m
	pound   = 0.45359237  // kg
	gravity = 9.80665     // m/s²
	mercury = 13595.1     // kg/m³, conventional
	usGal   = 3.785411784 // l = 231 in³
	impGal  = 4.54609     // l

	poundForce = pound * gravity   // N
	lbfFt      = poundForce * foot // N m
	lbfIn      = poundForce * inch // N m
	radian     = 180 / math.Pi     // °
)

// Torque, reckoned in N m. Wrenches show 1 N m, small ones 0.1 N m; the steps of the other units come near to that.
var (
	Nm    = metric[TorqueKind]("Nm", 1, "newtonmetre newtonmetres newtonmeter newtonmeters", step{10, 0.1}, step{endless, 1})
	NCm   = metric[TorqueKind]("N cm", 0.01, "", step{endless, 1})
	DaNm  = metric[TorqueKind]("daN m", 10, "mdan", step{1, 0.01}, step{endless, 0.1})
	KgfM  = metric[TorqueKind]("kgf m", gravity, "kgm mkg mkgf mkp kpm", step{5, 0.01}, step{endless, 0.1})
	KgfCm = metric[TorqueKind]("kgf cm", gravity/100, "kgcm cmkg cmkgf cmkp kpcm", step{endless, 1})
	LbfFt = imperial[TorqueKind]("lbf ft", lbfFt, "lbft ftlb ftlbf lbsft ftlbs footpound footpounds poundfoot poundfeet poundsfeet", step{20, 0.1}, step{endless, 1})
	LbfIn = imperial[TorqueKind]("lbf in", lbfIn, "lbin inlb inlbf lbsin inlbs inchpound inchpounds poundinch poundinches", step{endless, 1})
	OzfIn = imperial[TorqueKind]("ozf in", lbfIn/16, "ozin inoz inozf", step{endless, 1})
)

// Length, reckoned in mm: micrometers show 0.01 mm or a thousandth of an inch, rules 1 mm.
var (
	Mm         = metric[LengthKind]("mm", 1, "millimetre millimetres millimeter millimeters", step{100, 0.01}, step{1000, 0.1}, step{endless, 1})
	Cm         = metric[LengthKind]("cm", 10, "centimetre centimetres centimeter centimeters", step{endless, 0.1})
	Metre      = metric[LengthKind]("m", 1000, "metre metres meter meters", step{endless, 0.01})
	Micrometre = metric[LengthKind]("µm", 0.001, "um micron microns micrometre micrometres", step{endless, 1})
	Inch       = imperial[LengthKind]("in", inch*1000, "inch inches \"", step{10, 0.001}, step{endless, 0.01})
	Foot       = imperial[LengthKind]("ft", foot*1000, "foot feet '", step{endless, 0.01})
	Thou       = imperial[LengthKind]("thou", inch, "thousandth thousandths", step{endless, 1})
)

// Distance, reckoned in km: an odometer shows whole ones.
var (
	Km   = metric[DistanceKind]("km", 1, "kilometre kilometres kilometer kilometers kms", step{endless, 1})
	Mile = imperial[DistanceKind]("miles", mile/1000, "mile mi", step{endless, 1})
)

// Volume, reckoned in l: what the marks on a bottle or a measuring jug let one read.
var (
	Litre           = metric[VolumeKind]("l", 1, "litre litres liter liters ltr", step{10, 0.01}, step{endless, 0.1})
	Millilitre      = metric[VolumeKind]("ml", 0.001, "millilitre millilitres milliliter milliliters", step{100, 1}, step{endless, 10})
	CubicCentimetre = metric[VolumeKind]("cm³", 0.001, "cm3 cc ccm", step{100, 1}, step{endless, 10})
	USGallon        = imperial[VolumeKind]("US gal", usGal, "usgallon usgallons galus", step{endless, 0.01})
	USQuart         = imperial[VolumeKind]("US qt", usGal/4, "usquart usquarts usqts qtus", step{endless, 0.1})
	USPint          = imperial[VolumeKind]("US pt", usGal/8, "uspint uspints ptus", step{endless, 0.1})
	USFluidOunce    = imperial[VolumeKind]("US fl oz", usGal/128, "usfluidounce usfluidounces flozus usoz", step{10, 0.1}, step{endless, 1})
	ImpGallon       = imperial[VolumeKind]("imp gal", impGal, "impgallon impgallons ukgal ukgallon ukgallons galuk galimp", step{endless, 0.01})
	ImpQuart        = imperial[VolumeKind]("imp qt", impGal/4, "impquart impquarts ukqt ukquart qtuk qtimp", step{endless, 0.1})
	ImpPint         = imperial[VolumeKind]("imp pt", impGal/8, "imppint imppints ukpt ukpint ukpints ptuk ptimp", step{endless, 0.1})
	ImpFluidOunce   = imperial[VolumeKind]("imp fl oz", impGal/160, "ukfloz flozuk flozimp impoz", step{10, 0.1}, step{endless, 1})
	CubicInch       = imperial[VolumeKind]("in³", usGal/231, "in3 cuin cubicinch cubicinches", step{endless, 0.1})
)

// Pressure and stress, reckoned in kPa: tyre gauges show 0.1 bar or 1 psi.
var (
	Bar        = metric[PressureKind]("bar", 100, "bars", step{endless, 0.1})
	Millibar   = metric[PressureKind]("mbar", 0.1, "millibar", step{endless, 1})
	Pascal     = metric[PressureKind]("Pa", 0.001, "", step{endless, 1})
	Kilopascal = metric[PressureKind]("kPa", 1, "", step{10, 0.1}, step{endless, 1})
	Megapascal = metric[PressureKind]("MPa", 1000, "n/mm2 n/mm²", step{10, 0.01}, step{endless, 1})
	KgfPerCm2  = metric[PressureKind]("kgf/cm²", gravity*10, "kgf/cm2 kg/cm2 kg/cm² kp/cm2 kp/cm²", step{endless, 0.1})
	Psi        = imperial[PressureKind]("psi", poundForce/(inch*inch)/1000, "lbf/in2 lbf/in² lb/in2 lb/in² lbs/in2", step{10, 0.1}, step{endless, 1})
	InHg       = imperial[PressureKind]("inHg", mercury*gravity*inch/1000, "\"hg inchhg incheshg", step{endless, 0.1})
	InH2O      = imperial[PressureKind]("inH2O", gravity*inch, "inh₂o \"h2o inchh2o inwater inwc", step{endless, 0.1})
)

// Temperature, reckoned in °C: a workshop thermometer shows whole degrees.
var (
	Celsius    = degrees[TemperatureKind]("°C", 1, 0, false, "c degc celsius degreescelsius", step{endless, 1})
	Fahrenheit = degrees[TemperatureKind]("°F", 1/1.8, 32, false, "f degf fahrenheit degreesfahrenheit", step{endless, 1})
	Kelvin     = degrees[TemperatureKind]("K", 1, 273.15, false, "kelvin", step{endless, 1})
)

// Speed, reckoned in km/h: a speedometer shows whole ones.
var (
	KmPerHour      = metric[SpeedKind]("km/h", 1, "kmh kph kmph", step{endless, 1})
	MetrePerSecond = metric[SpeedKind]("m/s", 3.6, "", step{endless, 0.1})
	MilePerHour    = imperial[SpeedKind]("mph", mile/1000, "mi/h milesperhour", step{endless, 1})
)

// Mass, reckoned in kg.
var (
	Kilogram = metric[MassKind]("kg", 1, "kilo kilos kgs kilogram kilograms", step{100, 0.1}, step{endless, 1})
	Gram     = metric[MassKind]("g", 0.001, "gram grams gr", step{10, 0.1}, step{endless, 1})
	Tonne    = metric[MassKind]("t", 1000, "tonne tonnes", step{endless, 0.001})
	Pound    = imperial[MassKind]("lb", pound, "lbs pound pounds", step{100, 0.1}, step{endless, 1})
	Ounce    = imperial[MassKind]("oz", pound/16, "ounce ounces", step{endless, 0.1})
)

// Force, reckoned in N.
var (
	Newton        = metric[ForceKind]("N", 1, "newton newtons", step{1000, 1}, step{endless, 10})
	Kilonewton    = metric[ForceKind]("kN", 1000, "", step{endless, 0.1})
	KilogramForce = metric[ForceKind]("kgf", gravity, "kp", step{1000, 1}, step{endless, 10})
	PoundForce    = imperial[ForceKind]("lbf", poundForce, "", step{1000, 1}, step{endless, 10})
)

// Angle, reckoned in degrees.
var (
	Degree = degrees[AngleKind]("°", 1, 0, true, "deg degs degree degrees º", step{endless, 1})
	Turn   = metric[AngleKind]("turn", 360, "turns rev revs revolution revolutions", step{endless, 0.05})
	Radian = metric[AngleKind]("rad", radian, "radian radians", step{endless, 0.01})
)

// Power, reckoned in kW.
var (
	Kilowatt         = metric[PowerKind]("kW", 1, "", step{10, 0.1}, step{endless, 1})
	Watt             = metric[PowerKind]("W", 0.001, "watt watts", step{endless, 1})
	MetricHorsepower = metric[PowerKind]("metric hp", 75*gravity/1000, "ps cv ch metrichorsepower", step{10, 0.1}, step{endless, 1})
	Horsepower       = imperial[PowerKind]("hp", 550*lbfFt/1000, "bhp horsepower", step{10, 0.1}, step{endless, 1})
)
