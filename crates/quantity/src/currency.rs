//! Active currency codes of ISO 4217 and the signs we read.

/// Active three-letter codes (ISO 4217 list one, from memory; funds and metals left out).
pub(crate) const CODES: &str = "AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF \
    BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD \
    EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GNF GTQ GYD HKD HNL HTG HUF IDR ILS INR IQD IRR \
    ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA MKD \
    MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN \
    PYG QAR RON RSD RUB RWF SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS \
    TMT TND TOP TRY TTD TWD TZS UAH UGX USD UYU UZS VES VND VUV WST XAF XCD XCG XOF XPF YER ZAR \
    ZMW ZWG";

/// Signs that mean one currency here. `$` is the US dollar; others write their code.
pub(crate) const SIGNS: [(char, &str); 3] = [('£', "GBP"), ('$', "USD"), ('€', "EUR")];

/// True for an active code.
pub(crate) fn is_code(code: &str) -> bool {
    CODES.split_whitespace().any(|known| known == code)
}

/// The code a sign stands for.
pub(crate) fn code_of(sign: char) -> Option<&'static str> {
    SIGNS
        .iter()
        .find(|(mark, _)| *mark == sign)
        .map(|(_, code)| *code)
}

/// The sign of a code, where it has one.
pub(crate) fn sign_of(code: &str) -> Option<char> {
    SIGNS
        .iter()
        .find(|(_, known)| *known == code)
        .map(|(mark, _)| *mark)
}

/// Digits after the point (ISO 4217 minor units): 2 but for a few.
pub(crate) fn decimals(code: &str) -> usize {
    match code {
        "BIF" | "CLP" | "DJF" | "GNF" | "ISK" | "JPY" | "KMF" | "KRW" | "PYG" | "RWF" | "UGX"
        | "VND" | "VUV" | "XAF" | "XOF" | "XPF" => 0,
        "BHD" | "IQD" | "JOD" | "KWD" | "LYD" | "OMR" | "TND" => 3,
        _ => 2,
    }
}
