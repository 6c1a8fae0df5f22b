package unit

// Kind is what a quantity is an amount of. Its implementations are the types of this package.
type Kind interface {
	comparable
	table() *table
}

// table is what is known of a kind.
type table struct {
	name    string // with its article, as in a sentence
	example string
	signed  bool // amounts below zero make sense
	grouped bool // large whole numbers: three decimals are more likely thousands
	units   []*def
	unclear map[string]string // spellings that leave open which unit is meant, and the question to ask
}

// The kinds, used as type arguments only.
type (
	TorqueKind      struct{}
	LengthKind      struct{}
	DistanceKind    struct{}
	VolumeKind      struct{}
	PressureKind    struct{}
	TemperatureKind struct{}
	SpeedKind       struct{}
	MassKind        struct{}
	ForceKind       struct{}
	AngleKind       struct{}
	PowerKind       struct{}
)

func (TorqueKind) table() *table      { return &torques }
func (LengthKind) table() *table      { return &lengths }
func (DistanceKind) table() *table    { return &distances }
func (VolumeKind) table() *table      { return &volumes }
func (PressureKind) table() *table    { return &pressures }
func (TemperatureKind) table() *table { return &temperatures }
func (SpeedKind) table() *table       { return &speeds }
func (MassKind) table() *table        { return &masses }
func (ForceKind) table() *table       { return &forces }
func (AngleKind) table() *table       { return &angles }
func (PowerKind) table() *table       { return &powers }

// kinds is every kind, to say of a unit of another kind what it is.
var kinds = []*table{
	&torques, &lengths, &distances, &volumes, &pressures, &temperatures, &speeds, &masses, &forces, &angles, &powers,
}

const which = "Say which: "

var torques = table{
	name: "a torque", example: "45 Nm or 33 lbf ft",
	units: defs(Nm, LbfFt, LbfIn, KgfM, KgfCm, OzfIn, DaNm, NCm),
	unclear: map[string]string{
		"lb": which + "lbf ft or lbf in.", "lbs": which + "lbf ft or lbf in.", "lbf": which + "lbf ft or lbf in.",
		"kg": which + "kgf m or kgf cm.", "kgf": which + "kgf m or kgf cm.",
	},
}

var lengths = table{
	name: "a length", example: "12.5 mm or 3/8 in", signed: true,
	units:   defs(Mm, Cm, Metre, Micrometre, Inch, Foot, Thou),
	unclear: map[string]string{"mil": "A mil is a thousandth of an inch to some and a millimetre to others: write thou or mm."},
}

var distances = table{
	name: "a distance", example: "120000 km or 75000 miles", grouped: true,
	units:   defs(Km, Mile),
	unclear: map[string]string{"m": "m could be metres or miles: write km or miles."},
}

const (
	gallons = which + "US gal or imp gal."
	quarts  = which + "US qt or imp qt."
	pints   = which + "US pt or imp pt."
	flozs   = which + "US fl oz or imp fl oz."
)

var volumes = table{
	name: "a volume", example: "4.5 l or 4.8 US qt",
	units: defs(Litre, Millilitre, CubicCentimetre, USGallon, USQuart, USPint, USFluidOunce, ImpGallon, ImpQuart, ImpPint, ImpFluidOunce, CubicInch),
	unclear: map[string]string{
		"gal": gallons, "gallon": gallons, "gallons": gallons, "qt": quarts, "quart": quarts, "quarts": quarts, "qts": quarts,
		"pt": pints, "pint": pints, "pints": pints, "floz": flozs, "oz": flozs, "fluidounce": flozs, "fluidounces": flozs,
	},
}

var pressures = table{
	name: "a pressure", example: "2.4 bar or 35 psi", signed: true,
	units:   defs(Bar, Psi, Kilopascal, Megapascal, Pascal, Millibar, KgfPerCm2, InHg, InH2O),
	unclear: map[string]string{"kg": "Write kgf/cm2.", "lb": "Write psi.", "lbs": "Write psi.", "at": "Write kgf/cm2 or bar.", "atm": "Write bar."},
}

var temperatures = table{
	name: "a temperature", example: "20 °C or 68 °F", signed: true,
	units:   defs(Celsius, Fahrenheit, Kelvin),
	unclear: map[string]string{"°": which + "°C or °F.", "deg": which + "°C or °F.", "degrees": which + "°C or °F."},
}

var speeds = table{
	name: "a speed", example: "100 km/h or 60 mph",
	units: defs(KmPerHour, MilePerHour, MetrePerSecond),
}

var masses = table{
	name: "a mass", example: "1250 kg or 2755 lb",
	units: defs(Kilogram, Gram, Tonne, Pound, Ounce),
}

var forces = table{
	name: "a force", example: "33 kN or 7400 lbf", signed: true,
	units:   defs(Newton, Kilonewton, PoundForce, KilogramForce),
	unclear: map[string]string{"kg": "Write kgf for a force.", "lb": "Write lbf for a force.", "lbs": "Write lbf for a force."},
}

var angles = table{
	name: "an angle", example: "90° or 1/4 turn", signed: true,
	units: defs(Degree, Turn, Radian),
}

var powers = table{
	name: "a power", example: "66 kW or 90 hp",
	units: defs(Kilowatt, Watt, Horsepower, MetricHorsepower),
}
