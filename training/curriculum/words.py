"""Words of the trade as the modules use them: original script, reading, meaning.

Script, reading and meaning are common knowledge of the trade, written down from memory.
"""

from typing import NamedTuple


class TradeWord(NamedTuple):
    """A word; ``reading`` is in Latin letters with hyphens between the parts that are heard."""

    term: str
    script: str
    reading: str
    meaning: str


WORDS = (
    TradeWord(
        "brine", "塩水", "en-sui", "Salt dissolved in the water of the dough, before the flour."
    ),
    TradeWord(
        "guide board",
        "駒板",
        "koma-ita",
        "A thin board with a raised edge. It lies on the folded sheet and leads the knife.",
    ),
    TradeWord("hesodashi", "へそ出し", "heso-dashi", "Closing a buckwheat ball to a point."),
    TradeWord(
        "hydration",
        "加水率",
        "ka-sui-ritsu",
        "Water as a share of the flour, by weight. Some count the salt in it too.",
    ),
    TradeWord("juwari", "十割", "ju-wari", "Noodles of buckwheat flour alone, without wheat."),
    TradeWord(
        "kaeshi",
        "かえし",
        "ka-e-shi",
        "The seasoning base of a noodle soup: soy sauce, sugar and sweet rice wine, kept to rest.",
    ),
    TradeWord("kake", "かけ", "ka-ke", "Noodles in a bowl with hot soup poured over."),
    TradeWord(
        "kama-age", "釜揚げ", "kama-age", "Noodles served from the pot in hot water, unwashed."
    ),
    TradeWord(
        "kansui",
        "かん水",
        "kan-sui",
        "Alkaline salts for noodles. They make a dough firm and turn it yellow.",
    ),
    TradeWord("kelp", "昆布", "kom-bu", "A dried seaweed, soaked and warmed for stock."),
    TradeWord(
        "kikuneri",
        "菊練り",
        "kiku-neri",
        "Kneading in which the folds look like the petals of a chrysanthemum.",
    ),
    TradeWord("kukuri", "くくり", "ku-ku-ri", "Gathering damp buckwheat crumbs into one ball."),
    TradeWord(
        "mizumawashi",
        "水回し",
        "mizu-mawashi",
        "Working the water into the flour by hand until every grain of it is damp.",
    ),
    TradeWord("mori", "もり", "mo-ri", "Cold noodles, heaped loosely and eaten with a dip."),
    TradeWord(
        "nihachi", "二八", "ni-hachi", "Eight parts of buckwheat flour with two parts of wheat."
    ),
    TradeWord(
        "sashimizu", "差し水", "sashi-mizu", "A splash of cold water that stops a pot boiling over."
    ),
    TradeWord(
        "shimeru",
        "締める",
        "shi-me-ru",
        "Chilling washed noodles in ice water, so that they become firm.",
    ),
    TradeWord("tebo", "てぼ", "te-bo", "A deep basket with a handle, for one portion in the pot."),
    TradeWord("tsunagi", "つなぎ", "tsu-na-gi", "What binds buckwheat flour: most often wheat."),
    TradeWord(
        "tsuyu", "つゆ", "tsu-yu", "The soup of a noodle dish: stock and seasoning base together."
    ),
    TradeWord(
        "uchiko", "打ち粉", "uchi-ko", "Starch or flour for dusting, so that dough does not stick."
    ),
    TradeWord(
        "yakumi", "薬味", "yaku-mi", "Small sharp toppings, such as spring onion or grated radish."
    ),
    TradeWord("zaru", "ざる", "za-ru", "A flat or round basket, in which noodles drain."),
)
