"""Posteriors of the fault tables by a general Bayesian-network library.

    python -m venv /tmp/reference && /tmp/reference/bin/pip install pyagrum==3.3.1
    /tmp/reference/bin/python tests/reference/fault_networks.py           # writes the fixture
    /tmp/reference/bin/python tests/reference/fault_networks.py --check   # compares with it

Reads the tables as the program ships them, and makes random tables of its own, builds for each a network of
one cause node with a node for every test, enters random results and asks the library (lazy propagation) for
the posterior. The fixture is compared with the program by tests/cases/fault.rs.
"""
import pathlib, random, sys
import pyagrum as gum

ROOT = pathlib.Path(__file__).resolve().parents[2]
DATA = ROOT / "client-core/src/fault/data"
FIXTURE = ROOT / "tests/fixtures/fault/networks.txt"
NONE_SHARE, NONE_SPREAD = 0.05, 0.25
FAMILIES = "isp dsi hsi spc irt mua two blr".split()


def rows(text):
    return [line for line in text.splitlines() if line.strip() and not line.startswith("#")]


def families(words):
    return FAMILIES if words == "all" else words.split()


def read(causes, tests):
    known = {}
    for line in rows(causes):
        key, _, fams, weights, *_ = [part.strip() for part in line.split("|")]
        pairs = [part.split() for part in weights.split(",")]
        known[key] = (families(fams), {symptom: float(weight) for symptom, weight in pairs})
    made = {}
    for line in rows(tests):
        if line.startswith("setup"):
            continue
        if line.startswith("="):
            parts = [part.strip().rsplit(" ", 1) for part in line[1:].split("|")]
            test["outcomes"] = [part[0].strip() for part in parts]
            test["otherwise"] = [float(part[1]) for part in parts]
        elif line.startswith(" "):
            for part in line.split(";"):
                key, *chances = part.split()
                test["given"][key] = [float(chance) for chance in chances]
        else:
            columns = [part.strip() for part in line.split("|")]
            test = {"given": {}, "families": families(columns[7])}
            made[columns[0]] = test
    return known, made


def posterior(known, made, symptom, family, results):
    causes = [key for key, (fams, weights) in known.items() if family in fams and symptom in weights]
    prior = [known[key][1][symptom] for key in causes]
    total = sum(prior)
    prior = [weight / total / (1 + NONE_SHARE) for weight in prior] + [NONE_SHARE / (1 + NONE_SHARE)]
    net = gum.BayesNet()
    cause = net.add(gum.LabelizedVariable("cause", "", causes + ["none_of_these"]))
    net.cpt(cause).fillWith(prior)
    for key, outcome in results:
        test = made[key]
        node = net.add(gum.LabelizedVariable(key, "", [f"o{i}" for i in range(len(test["outcomes"]))]))
        net.addArc(cause, node)
        even = 1 / len(test["otherwise"])
        for place, name in enumerate(causes + ["none_of_these"]):
            row = test["given"].get(name, test["otherwise"])
            if name == "none_of_these":
                row = [(1 - NONE_SPREAD) * chance + NONE_SPREAD * even for chance in row]
            net.cpt(node)[{"cause": place}] = row
    engine = gum.LazyPropagation(net)
    engine.setEvidence({key: outcome for key, outcome in results})
    engine.makeInference()
    return list(zip(causes + ["none_of_these"], engine.posterior(cause).tolist()))


def case(known, made, symptoms, rng):
    while True:
        symptom, fams = rng.choice(symptoms)
        family = rng.choice(fams)
        if sum(family in f and symptom in w for f, w in known.values()) >= 2:
            break
    served = [key for key, test in made.items() if family in test["families"]]
    chosen = rng.sample(served, min(len(served), rng.randint(1, 10)))
    results = [(key, rng.randrange(len(made[key]["outcomes"]))) for key in chosen]
    words = "; ".join(f"{key} {outcome}" for key, outcome in results)
    shares = " ".join(f"{name} {p:.14g}" for name, p in posterior(known, made, symptom, family, results))
    return f"{symptom} {family} | {words} | {shares}"


def random_tables(rng):
    symptoms = [f"s{i} | seen {i} | off | all |" for i in range(3)]
    causes = []
    for i in range(rng.randint(3, 14)):
        weights = ", ".join(f"s{s} {rng.randint(1, 30)}" for s in range(3) if s == i % 3 or rng.random() < 0.5)
        causes.append(f"c{i} | cause {i} | all | {weights} | mend it | 10 | {rng.randrange(4)}")
    tests = []
    for i in range(rng.randint(4, 15)):
        size = rng.randint(2, 5)

        def row():
            parts = [rng.randint(1, 99) for _ in range(size)]
            chances = [round(part / sum(parts), 3) for part in parts]
            chances = [max(chance, 0.002) for chance in chances]
            chances[-1] = round(1 - sum(chances[:-1]), 3)
            return chances if chances[-1] > 0 else row()

        tests.append(f"t{i} | test {i} | here | {rng.randint(1, 20)} | look | off | | all |")
        tests.append("= " + " | ".join(f"r{n} {chance:g}" for n, chance in enumerate(row())))
        given = [f"c{c} " + " ".join(f"{chance:g}" for chance in row()) for c in range(len(causes)) if rng.random() < 0.5]
        if given:
            tests.append("  " + "; ".join(given))
    return "\n".join(symptoms), "\n".join(causes), "\n".join(tests)


def fixture():
    rng = random.Random(20260102)
    out = [f"# posteriors by pyagrum {gum.__version__}, lazy propagation; generator tests/reference/fault_networks.py",
           "# case: symptom family | test result-number; ... | candidate probability ..."]
    symptoms = [(line.split("|")[0].strip(), families(line.split("|")[3].strip()))
                for line in rows((DATA / "symptoms.txt").read_text())]
    known, made = read((DATA / "causes.txt").read_text(), (DATA / "tests.txt").read_text())
    out.append("== shipped")
    out += [case(known, made, symptoms, rng) for _ in range(120)]
    for number in range(12):
        texts = random_tables(rng)
        out.append(f"== network {number}")
        for name, text in zip(("symptoms", "causes", "tests"), texts):
            out += [f"-- {name}", text]
        out.append("-- cases")
        known, made = read(texts[1], texts[2])
        out += [case(known, made, [(f"s{i}", FAMILIES) for i in range(3)], rng) for _ in range(8)]
    return "\n".join(out) + "\n"


def worst(new, old):
    gap = 0.0
    for a, b in zip(new.split(), old.split(), strict=True):
        try:
            gap = max(gap, abs(float(a) - float(b)))
        except ValueError:
            assert a == b, (a, b)
    return gap


if __name__ == "__main__":
    made_now = fixture()
    if "--check" in sys.argv[1:]:
        gap = worst(made_now, FIXTURE.read_text())
        print(f"largest difference from the stored posteriors: {gap:.1e}")
        sys.exit(gap > 1e-12)
    FIXTURE.write_text(made_now)
