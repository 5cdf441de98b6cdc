"""Every metric speaks: to a coach in the trade's words, to a fourteen-year-old in plain ones."""

import re
from collections import Counter
from statistics import mean

import pytest

# Words of the trade that an athlete's sentence does without.
JARGON = re.compile(
    r"\b(flexion|extension|rotation|abduction|adduction|pelvis|thorax|thoracic|lateral|anterior|varus|valgus|"
    r"torque|velocity|drive leg|lead leg|lead knee|contralateral|metric|humer\w+|scapul\w+)\b",
    re.IGNORECASE,
)


def syllables(word):
    """Vowel groups without a silent final e; good to about one in ten words, without bias that matters here."""
    word = re.sub(r"[^a-z]", "", word.lower())
    groups = len(re.findall(r"[aeiouy]+", word))
    if re.search(r"[^aeiouyl]e$|[^aeiou]es$|[^td]ed$", word) and not re.search(r"(s|x|z|ch|sh|[cg])es$", word):
        groups -= 1
    return max(groups, 1)


def grade(text):
    """Flesch-Kincaid grade level (Kincaid et al. 1975): 0.39 words a sentence + 11.8 syllables a word - 15.59."""
    words = re.findall(r"[A-Za-z']+", text)
    sentences = max(1, len(re.findall(r"[.!?](?:\s|$)", text)))
    return 0.39 * len(words) / sentences + 11.8 * sum(map(syllables, words)) / len(words) - 15.59


def athlete_texts(catalogue):
    return [text for m in catalogue.metrics.values() for text in (m.low_sentence, m.high_sentence)]


@pytest.mark.parametrize(
    ("word", "count"),
    [("land", 1), ("throwing", 2), ("release", 2), ("shoulder", 2), ("elbow", 2), ("home", 1), ("turned", 1),
     ("separation", 4), ("already", 3), ("bends", 1), ("reaches", 2), ("little", 2)],
)  # fmt: skip
def test_the_syllable_counter_agrees_with_the_dictionary(word, count):
    assert syllables(word) == count


def test_the_grade_formula_gives_the_value_worked_by_hand():
    assert grade("The cat sat on the mat.") == pytest.approx(0.39 * 6 + 11.8 - 15.59)


def test_plain_sentences_can_be_read_at_fourteen(catalogue):
    grades = [grade(text) for text in athlete_texts(catalogue)]
    assert mean(grades) <= 7
    hard = [text for text, value in zip(athlete_texts(catalogue), grades, strict=True) if value > 10]
    assert hard == []


def test_plain_sentences_and_names_use_no_words_of_the_trade(catalogue):
    plain = [*athlete_texts(catalogue), *(m.plain_name for m in catalogue.metrics.values())]
    assert [text for text in plain if JARGON.search(text)] == []


def test_plain_sentences_are_one_sentence_with_a_capital_and_a_stop(catalogue):
    shape = re.compile(r"[A-Z][^.!?]*\.")
    assert [text for text in athlete_texts(catalogue) if not shape.fullmatch(text)] == []


def test_why_is_one_sentence(catalogue):
    endings = {m.key: m.why for m in catalogue.metrics.values() if not m.why.endswith(".")}
    assert endings == {}


def test_short_names_fit_and_are_unique(catalogue):
    names = [m.short_name for m in catalogue.metrics.values()]
    assert max(map(len, names)) <= 18
    assert [name for name, count in Counter(names).items() if count > 1] == []


def test_names_and_plain_names_are_unique(catalogue):
    for field in ("name", "plain_name"):
        counted = Counter(getattr(m, field) for m in catalogue.metrics.values())
        assert [text for text, count in counted.items() if count > 1] == []


def test_each_metric_has_two_different_directions(catalogue):
    for m in catalogue.metrics.values():
        assert m.low_word != m.high_word, m.key
        assert m.low_sentence != m.high_sentence, m.key


def test_a_header_that_a_room_could_write_names_one_metric_only(catalogue):
    from metrics.catalogue import normalise_name

    owners = {}
    for m in catalogue.metrics.values():
        for text in (m.key, m.name, m.short_name, *m.synonyms):
            owners.setdefault(normalise_name(text), set()).add(m.key)
    assert {text: keys for text, keys in owners.items() if len(keys) > 1} == {}
    assert min(len(m.synonyms) for m in catalogue.metrics.values()) >= 4


@pytest.mark.parametrize(
    ("header", "key"),
    [("ER at FC", "shoulder_external_rotation_fp"), ("max_ER", "shoulder_external_rotation_max"),
     ("HSS @ FP", "separation_fp"), ("Lead Knee Flex BR", "lead_knee_flexion_br"),
     ("GIRD", "shoulder_ir_deficit"), ("VELO", "ball_speed"), ("stride_%_height", "stride_length")],
)  # fmt: skip
def test_usual_abbreviations_are_among_the_synonyms(catalogue, header, key):
    from metrics.catalogue import normalise_name

    assert normalise_name(header) in {normalise_name(text) for text in catalogue.metric(key).synonyms}
