"""Polish, Czech (with Slovak), Russian and Ukrainian words for rooms."""

POLISH = {
    "living": (
        "salon, salonu, pokój dzienny, jadalnia, bawialnia, pokój wypoczynkowy, pokój gościnny dzienny, "
        "biblioteka, antresola, aneks jadalny, salon z aneksem, świetlica, pokój telewizyjny, oranżeria"
    ),
    "bedroom": (
        "sypialnia, pokój dziecka, pokój dziecięcy, pokój gościnny, sypialnie, garderoba przy sypialni, "
        "dzieci, pokój rodziców"
    ),
    "kitchen": "kuchnia, aneks kuchenny, kuchenka, pokój śniadań, aneks",
    "bath": (
        "łazienka, łazienki, natrysk, prysznic, sauna, umywalnia, szatnia, pokój kąpielowy, basen, "
        "przebieralnia, natryski"
    ),
    "wc": "wc, toaleta, ubikacja, ustęp, toalety, toaleta damska, toaleta męska",
    "hall": (
        "korytarz, przedpokój, hol, hall, wiatrołap, komunikacja, sień, przedsionek, wejście, westybul, "
        "śluza, kom, garderoba"
    ),
    "utility": (
        "pralnia, pomieszczenie gospodarcze, suszarnia, gospodarcze, pom gospodarcze, pom gosp, "
        "pomieszczenie porządkowe, prasowalnia, pom porządkowe"
    ),
    "office": (
        "biuro, gabinet, pokój biurowy, sala konferencyjna, sala lekcyjna, pracownia, pokój do pracy, "
        "sekretariat, sala spotkań, pokój socjalny, warsztat, gabinet dyrektora, biura"
    ),
    "treatment": (
        "gabinet lekarski, gabinet zabiegowy, zabiegowy, gabinet stomatologiczny, badań, pokój badań, "
        "rehabilitacja, gabinet lekarza, sala chorych, sala operacyjna"
    ),
    "waiting": "poczekalnia, recepcja, rejestracja",
    "store": (
        "spiżarnia, schowek, magazyn, skład, składzik, archiwum, śmietnik, wózkownia, rowerownia, "
        "komórka lokatorska, magazynek, spiżarka"
    ),
    "stair": "klatka schodowa, schody, klatka, pochylnia, kl schodowa, rampa",
    "shaft": "szacht, szyb, winda, szyb windowy, dźwig, pustka, pustka nad, komin, szacht instalacyjny",
    "attic": "strych, poddasze nieużytkowe, stryszek",
    "roof": "dach, stropodach, połać",
    "garage": "garaż, parking, miejsce postojowe, hala garażowa, garaż dwustanowiskowy",
    "cellar": "piwnica, piwnice, winiarnia",
    "technical": (
        "kotłownia, pomieszczenie techniczne, pom techniczne, techniczne, węzeł cieplny, serwerownia, "
        "wentylatornia, rozdzielnia, maszynownia, pom tech, hydrofornia, przyłącze, trafo"
    ),
    "outside": (
        "balkon, taras, loggia, ogród, podcień, dziedziniec, weranda, zewnętrzny, ganek, patio, galeria zewnętrzna"
    ),
    "area_scheme": (
        "powierzchnia całkowita, powierzchnia netto, powierzchnia zabudowy, powierzchnia brutto, "
        "strefa pożarowa, powierzchnia użytkowa"
    ),
}

CZECH = {
    "living": (
        "obývací pokoj, obývák, obytný pokoj, jídelna, obytná místnost, obývací, obytná hala, knihovna, "
        "galerie, obývačka, jedáleň, obývacia izba, herna, zimní zahrada, denní místnost, "
        "společenská místnost"
    ),
    "bedroom": (
        "ložnice, dětský pokoj, pokoj pro hosty, spálňa, detská izba, ložnice rodičů, hosté, šatna u ložnice, dětský"
    ),
    "kitchen": "kuchyně, kuchyň, kuchyňský kout, kuchyňka, kuchyňa, čajová kuchyňka, kk",
    "bath": ("koupelna, koupelny, sprcha, kúpeľňa, umývárna, sprchy, sauna, šatny, bazén, koupelna s wc, převlékárna"),
    "wc": "wc, záchod, toaleta, toalety, wc ženy, wc muži",
    "hall": (
        "chodba, předsíň, hala, zádveří, vstup, predsieň, zádverie, vstupní hala, závětří, chodby, "
        "komunikace, filtr, šatna, šatník"
    ),
    "utility": (
        "prádelna, úklid, úklidová místnost, technická místnost prádelna, sušárna, úklidová komora, domácí práce"
    ),
    "office": (
        "kancelář, pracovna, zasedací místnost, zasedačka, učebna, dílna, kancelária, pracovňa, ateliér, "
        "kanceláře, ordinace kancelář, trieda, třída, sborovna"
    ),
    "treatment": "ordinace, ošetřovna, vyšetřovna, ambulance, sesterna, ordinácia, operační sál, rehabilitace",
    "waiting": "čekárna, recepce, čakáreň, recepcia",
    "store": (
        "sklad, komora, spíž, sklep kóje, archiv, kolárna, kočárkárna, odpad, odpadky, spižírna, špajza, sklady, kóje"
    ),
    "stair": "schodiště, schody, schodisko, rampa, schodišťový prostor, schodišťová hala",
    "shaft": ("šachta, výtah, výtahová šachta, instalační šachta, světlík, prostor nad, výťah, komín, volný prostor"),
    "attic": "půda, podkroví neobytné, podkrovní prostor, povala, půdní prostor",
    "roof": "střecha, strecha, plochá střecha",
    "garage": "garáž, parkování, parkovací stání, garážové stání, garáže, parkovisko",
    "cellar": "sklep, suterén, pivnica, vinný sklep, sklepy",
    "technical": (
        "technická místnost, kotelna, strojovna, rozvodna, kotolňa, tech místnost, technická, server, "
        "serverovna, výměník, plynoměr, předávací stanice, strojovna vzt, technická miestnosť"
    ),
    "outside": (
        "balkón, terasa, lodžie, zahrada, veranda, dvůr, pavlač, loggie, záhrada, balkon, pergola, přístřešek, venkovní"
    ),
    "area_scheme": (
        "hrubá podlahová plocha, zastavěná plocha, užitná plocha, celková plocha, hpp, požární úsek, "
        "čistá podlahová plocha"
    ),
}

RUSSIAN = {
    "living": (
        "гостиная, столовая, жилая комната, зал, общая комната, жилая, кухня гостиная, библиотека, "
        "каминная, игровая, бильярдная, комната отдыха, зимний сад, обеденная"
    ),
    "bedroom": (
        "спальня, спальная, детская, гостевая, гардеробная при спальне, гостевая комната, спальни, мастер спальня"
    ),
    "kitchen": "кухня, кухня столовая, кухня ниша, кухни, буфет",
    "bath": (
        "ванная, ванная комната, душевая, сауна, санузел, совмещенный санузел, совмещённый санузел, "
        "бассейн, раздевалка, баня, парная, душ, с у, раздевальная, помывочная"
    ),
    "wc": "туалет, уборная, сортир, туалеты",
    "hall": (
        "коридор, прихожая, холл, тамбур, вестибюль, передняя, входная группа, проход, общий коридор, "
        "лобби, тамбур шлюз, фойе, гардероб, гардеробная"
    ),
    "utility": (
        "прачечная, постирочная, хозяйственная, хозблок, гладильная, пуи, комната уборочного инвентаря, "
        "сушильная, хоз помещение"
    ),
    "office": (
        "кабинет, офис, переговорная, класс, аудитория, мастерская, рабочий кабинет, конференц зал, "
        "ресепшн офис, учительская, помещение персонала, лаборатория, студия, комната персонала"
    ),
    "treatment": (
        "процедурная, смотровая, кабинет врача, перевязочная, палата, операционная, ординаторская, "
        "медпункт, процедурный кабинет, массажная"
    ),
    "waiting": "ожидание, зона ожидания, регистратура, приемная, приёмная, ресепшн, ожидания",
    "store": (
        "кладовая, кладовка, склад, архив, мусорокамера, хранение, подсобка, колясочная, чулан, кладовые, подсобное"
    ),
    "stair": "лестница, лестничная клетка, лестничный марш, лестничная, пандус, лк, лестничный холл",
    "shaft": ("шахта, лифт, лифтовая шахта, второй свет, дымоход, вентшахта, лифты, вентканал, приямок, техподполье"),
    "attic": "чердак, чердачное помещение, холодный чердак",
    "roof": "кровля, крыша, эксплуатируемая кровля",
    "garage": "гараж, паркинг, автостоянка, стоянка, машиноместо, машино место, автопарковка",
    "cellar": "подвал, погреб, цоколь, винный погреб, подполье",
    "technical": (
        "котельная, техническое помещение, тех помещение, щитовая, электрощитовая, серверная, "
        "венткамера, тепловой пункт, итп, техническая, бойлерная, топочная, насосная, водомерный узел, "
        "машинное отделение, узел ввода, техпомещение"
    ),
    "outside": "балкон, терраса, лоджия, крыльцо, двор, сад, веранда, патио, навес, балконы, улица",
    "area_scheme": (
        "общая площадь, площадь застройки, пожарный отсек, полезная площадь, площадь здания, площадь этажа"
    ),
}

UKRAINIAN = {
    "living": (
        "вітальня, їдальня, житлова кімната, загальна кімната, житлова, кухня вітальня, бібліотека, "
        "кімната відпочинку, ігрова, зимовий сад"
    ),
    "bedroom": "спальня, дитяча, гостьова, спальні, гостьова кімната",
    "kitchen": "кухня, кухня їдальня, буфет",
    "bath": ("ванна, ванна кімната, душова, санвузол, сауна, басейн, роздягальня, суміщений санвузол, с в, лазня"),
    "wc": "туалет, вбиральня, убиральня",
    "hall": (
        "коридор, передпокій, хол, тамбур, вестибюль, прохід, вхід, загальний коридор, фойє, гардеробна, гардероб"
    ),
    "utility": "пральня, господарська, постірочна, прасувальна, госп приміщення, кімната прибирання, прання",
    "office": "кабінет, офіс, переговорна, клас, аудиторія, майстерня, конференц зал, лабораторія, вчительська",
    "treatment": (
        "процедурна, оглядова, кабінет лікаря, перев язочна, палата, операційна, ординаторська, маніпуляційна"
    ),
    "waiting": "очікування, реєстратура, приймальня, рецепція",
    "store": "комора, склад, архів, комірчина, підсобка, сміттєкамера, зберігання",
    "stair": "сходи, сходова клітка, сходова клітина, пандус, сходовий хол",
    "shaft": "шахта, ліфт, ліфтова шахта, друге світло, димохід, вентшахта",
    "attic": "горище, холодне горище",
    "roof": "дах, покрівля",
    "garage": "гараж, паркінг, автостоянка, машиномісце",
    "cellar": "підвал, льох, погріб, цоколь",
    "technical": (
        "котельня, технічне приміщення, щитова, електрощитова, серверна, венткамера, теплопункт, "
        "тех приміщення, топкова, насосна, технічна"
    ),
    "outside": "балкон, тераса, лоджія, ґанок, двір, сад, веранда, навіс",
    "area_scheme": "загальна площа, площа забудови, протипожежний відсік, корисна площа",
}
